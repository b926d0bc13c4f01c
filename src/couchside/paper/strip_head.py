"""Above a strip: which leads and seconds, and the rhythm in numbers."""

from __future__ import annotations

from couchside.measures.clock import format_clock
from couchside.measures.rhythm import measure_rhythm
from couchside.measures.rhythm_model import BeatNote, Rhythm
from couchside.measures.rhythm_words import describe_groups, describe_rhythm
from couchside.paper.frames import CONTENT_WIDTH_MM
from couchside.paper.inks import Ink
from couchside.paper.model import Box, Layer, Text
from couchside.paper.typeface import shorten
from couchside.waves.series import BeatSeries

_TITLE_MM = 60.0
STRIP_IDENTITY_ROOM_MM = CONTENT_WIDTH_MM - _TITLE_MM
"""What the header of a strip leaves for the identity."""

_SIZE_MM = 2.7
_LINE_MM = 3.7


def make_summary(
    beats: BeatSeries | None, leads: tuple[str, ...], span_s: tuple[float, float], box: Box
) -> Layer:
    """Which leads and which stretch; its RR intervals; the beats that stand out."""
    start, end = (format_clock(second) for second in span_s)
    told = [(f"{', '.join(leads)}, {start} to {end}", True)]
    if beats is not None:
        rhythm = measure_rhythm(beats)
        told += [(describe_rhythm(rhythm), False), (_describe_notes(rhythm), False)]
    return Layer(
        name="summary",
        marks=tuple(
            Text(
                x_mm=box.left_mm,
                y_mm=box.top_mm + 2.9 + index * _LINE_MM,
                content=shorten(words, box.width_mm, _SIZE_MM, bold=is_bold),
                size_mm=_SIZE_MM,
                bold=is_bold,
                ink=Ink.TEXT if index < 2 else Ink.QUIET_TEXT,
            )
            for index, (words, is_bold) in enumerate(told)
            if words
        ),
    )


def _describe_notes(rhythm: Rhythm) -> str:
    """Groups first, as a list of many beats may be cut short."""
    groups = describe_groups(rhythm)
    if not rhythm.notes:
        return groups
    listed = ";  ".join(_describe_note(note) for note in rhythm.notes)
    notes = f"• {rhythm.note_count} beats that stand out: {listed}"
    return f"{groups}  ·  {notes}" if groups else notes


def _describe_note(note: BeatNote) -> str:
    return f"{format_clock(note.at_s, 1)} {note.words}"
