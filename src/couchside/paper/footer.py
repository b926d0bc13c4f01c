"""Under the plot: how it was recorded and drawn, where it comes from, and the caution."""

from __future__ import annotations

from couchside.paper.inks import Ink
from couchside.paper.model import Box, Layer, Mark, Text, printable
from couchside.paper.sizes import PrintSettings
from couchside.paper.typeface import lacks_characters, shorten, wrap
from couchside.paper.wording import CAUTION, describe_provenance, describe_settings
from couchside.paper.writing_order import is_joined_script
from couchside.recording import Recording

_SIZE_MM = 2.45
_LINE_MM = 3.1
_LINES = 3
_FACT_MM = 90.0
_JOINT = "  ·  "


def make_footer(recording: Recording, settings: PrintSettings, shown: str, box: Box) -> Layer:
    """At most three lines of settings and provenance, then the caution in a line of its own."""
    facts = [
        shorten(printable(fact), _FACT_MM, _SIZE_MM)
        for fact in (
            *describe_settings(recording, settings, shown),
            *_notes_on_characters(recording),
            *describe_provenance(recording),
        )
    ]
    lines = wrap(facts, box.width_mm, _SIZE_MM, joint=_JOINT)
    if len(lines) > _LINES:
        rest = _JOINT.join(lines[_LINES - 1 :])
        lines = [*lines[: _LINES - 1], shorten(rest, box.width_mm, _SIZE_MM)]
    marks: list[Mark] = [
        Text(
            x_mm=box.left_mm,
            y_mm=box.top_mm + 2.4 + index * _LINE_MM,
            content=line,
            size_mm=_SIZE_MM,
        )
        for index, line in enumerate(lines)
    ]
    marks.append(
        Text(
            x_mm=box.left_mm,
            y_mm=box.bottom_mm - 0.2,
            content=CAUTION,
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
        )
    )
    return Layer(name="footer", marks=tuple(marks))


def _notes_on_characters(recording: Recording) -> list[str]:
    """What print cannot show of the recording's own words."""
    patient = recording.patient
    texts = [
        printable(text) for text in (patient.full_name, patient.identifier, *recording.remarks)
    ]
    notes = []
    if any(map(lacks_characters, texts)):
        notes.append("\ufffd stands for a character that the page's typeface lacks")
    if any(map(is_joined_script, texts)):
        notes.append("Arabic letters are printed unjoined")
    return notes
