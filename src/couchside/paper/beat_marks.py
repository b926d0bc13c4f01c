"""Above each line of a strip: a stroke at each beat, the RR between them, and the time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from couchside.measures.clock import format_clock
from couchside.measures.rhythm import measure_rhythm
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Layer, Mark, Segments, Text
from couchside.paper.rows import Rows
from couchside.paper.typeface import width_mm
from couchside.waves.series import BeatSeries

_SIZE_MM = 2.2
_STROKE_MM = (2.9, 4.4)
_WORDS_MM = 4.2
_DOT_MM = 2.5
_LEAST_GAP_MM = 1.6
_TIME_SHIFT_MM = 1.2


def make_beat_marks(
    beats: BeatSeries | None,
    starts_s: Sequence[float],
    end_s: float,
    rows: Rows,
    *,
    tops_mm: Sequence[float],
    line_s: float,
) -> Layer:
    """Mark what beats there are in each line.

    Parameters
    ----------
    beats : BeatSeries or None
        In seconds of the whole recording.
    starts_s, tops_mm : sequence of float
        Of each line: its first second, and the y of its upper edge.
    end_s : float
        Where the page's stretch ends.
    rows : Rows
        The geometry of the plot.
    line_s : float
        What a line holds.

    Returns
    -------
    Layer
        The time of each line at its left; a stroke at each beat, its RR interval in ms between the
        strokes where there is room, and a dot over beats that stand out.
    """
    marks: list[Mark] = []
    noted = _noted_times(beats)
    for start_s, top_mm in zip(starts_s, tops_mm, strict=True):
        marks.append(_time_mark(start_s, top_mm, rows))
        if beats is not None:
            stop_s = min(start_s + line_s, end_s)
            marks += _line_marks(beats, noted, (start_s, stop_s), top_mm, rows)
    return Layer(name="beats", marks=tuple(marks))


def _noted_times(beats: BeatSeries | None) -> set[float]:
    return set() if beats is None else {note.at_s for note in measure_rhythm(beats).notes}


def _time_mark(start_s: float, top_mm: float, rows: Rows) -> Text:
    return Text(
        x_mm=rows.box.left_mm + _TIME_SHIFT_MM,
        y_mm=top_mm + _WORDS_MM,
        content=format_clock(start_s),
        size_mm=2.6,
        bold=True,
    )


def _line_marks(
    beats: BeatSeries,
    noted: set[float],
    span_s: tuple[float, float],
    top_mm: float,
    rows: Rows,
) -> list[Mark]:
    left = rows.box.left_mm + rows.zone_mm
    inside = np.flatnonzero((beats.times_s >= span_s[0]) & (beats.times_s < span_s[1]))
    places = left + (beats.times_s - span_s[0]) * rows.speed_mm_per_s
    strokes: list[list[list[float]]] = []
    marks: list[Mark] = []
    for beat in inside.tolist():
        x = float(places[beat])
        strokes.append([[x, top_mm + _STROKE_MM[0]], [x, top_mm + _STROKE_MM[1]]])
        if float(beats.times_s[beat]) in noted:
            marks.append(_word("•", x, top_mm + _DOT_MM))
        if beat > 0 and beats.rr_is_known[beat - 1]:
            marks += _rr_word(beats, beat, max(float(places[beat - 1]), left), x, top_mm)
    lines: list[Mark] = [Segments(points_mm=np.array(strokes), ink=Ink.TICK)] if strokes else []
    return [*lines, *marks]


def _rr_word(
    beats: BeatSeries, beat: int, from_mm: float, to_mm: float, top_mm: float
) -> list[Text]:
    """The RR interval in ms between two strokes, where it fits."""
    rr_ms = (beats.times_s[beat] - beats.times_s[beat - 1]) * 1000.0
    words = f"{rr_ms:.0f}"
    if to_mm - from_mm < width_mm(words, _SIZE_MM) + _LEAST_GAP_MM:
        return []
    return [_word(words, (from_mm + to_mm) / 2, top_mm + _WORDS_MM)]


def _word(words: str, x_mm: float, y_mm: float) -> Text:
    return Text(
        x_mm=x_mm,
        y_mm=y_mm,
        content=words,
        size_mm=_SIZE_MM,
        ink=Ink.QUIET_TEXT,
        anchor=Anchor.MIDDLE,
    )
