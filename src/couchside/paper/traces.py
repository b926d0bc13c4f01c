"""Samples as lines to scale, with their labels, gaps and whatever leaves the plot."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from couchside.paper.inks import Ink
from couchside.paper.labels import place_labels
from couchside.paper.layouts import Strip, is_chest_lead
from couchside.paper.model import Anchor, Box, Layer, Mark, Polyline, Rectangle, Segments, Text
from couchside.paper.rows import Rows
from couchside.paper.sizes import Gains
from couchside.paper.typeface import width_mm
from couchside.recording import Recording

NOTE_SIZE_MM = 2.45

_NOTED_GAP_MM = 18.0
_TICK_MM = 2.5
_ARROW_MM = 2.0
_LINE_MM = 2.9
_ROUNDING = 1e-6

FloatArray = NDArray[np.float64]


def make_traces(
    recording: Recording, strips: tuple[Strip, ...], rows: Rows, gains: Gains
) -> tuple[Layer, ...]:
    """Draw every strip of a page.

    Parameters
    ----------
    recording : Recording
        Its samples are drawn as they are: no filter, no thinning. Each strip is shifted so that
        the median of what it shows stands on the row's level line; the shift changes no shape.
    strips : tuple of Strip
        What stands where.
    rows : Rows
        The geometry of the plot.
    gains : Gains
        At which limb and chest leads are drawn.

    Returns
    -------
    tuple of Layer
        ``"plates"`` of white paper under words, ``"traces"`` (clipped to the plot) and over them
        ``"labels"``: the leads' names, words for empty places and gaps, and an arrow with the value
        wherever a trace leaves the plot.
    """
    drawn = [
        strip_points_mm(recording, strip, rows, gains) if strip.is_recorded else np.empty((0, 2))
        for strip in strips
    ]
    labels = place_labels(strips, drawn, rows)
    values: list[Text] = []
    traces: list[Polyline] = []
    notes: list[Mark] = []
    for strip, points in zip(strips, drawn, strict=True):
        if not strip.is_recorded:
            notes.append(_note("not recorded", strip, rows))
            continue
        traces += _polylines(points, strip.lead)
        notes += _gap_notes(points, strip, rows)
        for arrow, words in _leaving_marks(points, strip, rows, gains):
            notes.append(arrow)
            values.append(_clear_of(values, words, rows.box))
    labels += values
    plates = [_plate(label) for label in labels]
    return (
        Layer(name="plates", marks=(*_ticks(strips, rows), *plates)),
        Layer(name="traces", marks=tuple(traces), clip=rows.box),
        Layer(name="labels", marks=(*labels, *notes)),
    )


def gain_of(lead: str, gains: Gains) -> float:
    """The gain at which a lead is drawn, in mm/mV."""
    return gains.chest_mm_per_mv if is_chest_lead(lead) else gains.limb_mm_per_mv


def strip_points_mm(recording: Recording, strip: Strip, rows: Rows, gains: Gains) -> FloatArray:
    """Where each sample of a strip stands on the page.

    Returns
    -------
    array of shape (sample, 2)
        x and y in mm; y is NaN where a sample is missing. Empty where the strip lies behind the
        end of the recording.
    """
    first, heights = _heights_mm(recording, strip, gains)
    seconds = np.arange(first, first + heights.size) / recording.rate_hz - strip.start_s
    points = np.empty((heights.size, 2))
    points[:, 0] = rows.left_mm(strip) + seconds * rows.speed_mm_per_s
    points[:, 1] = rows.baseline_mm(strip) - heights
    return points


def extent_mm(recording: Recording, strip: Strip, gains: Gains) -> tuple[float, float]:
    """How far a strip's trace goes above and below its row's level line; 0 where it is empty."""
    if not strip.is_recorded:
        return 0.0, 0.0
    heights = _heights_mm(recording, strip, gains)[1]
    finite = heights[np.isfinite(heights)]
    return max(float(finite.max(initial=0.0)), 0.0), max(-float(finite.min(initial=0.0)), 0.0)


def apart_mm(recording: Recording, upper: Strip, lower: Strip, gains: Gains) -> float:
    """How far apart the level lines of two strips of the same seconds are where their traces meet.

    0 where they would not even meet on one line, or where either shows nothing.
    """
    over, under = (_heights_mm(recording, strip, gains)[1] for strip in (upper, lower))
    if not (upper.is_recorded and lower.is_recorded):
        return 0.0
    needed = under - over
    return max(float(needed[np.isfinite(needed)].max(initial=0.0)), 0.0)


def _heights_mm(recording: Recording, strip: Strip, gains: Gains) -> tuple[int, FloatArray]:
    """The first sample of a strip, and how high each sample stands above the level line."""
    first, stop = _sample_range(recording, strip)
    samples = recording.get_lead(strip.lead)[first:stop]
    level = float(np.nanmedian(samples)) if np.isfinite(samples).any() else 0.0
    scale = gain_of(strip.lead, gains) / 1000.0 * (-1.0 if strip.is_inverted else 1.0)
    heights: FloatArray = (samples - level) * scale
    return first, heights


def _sample_range(recording: Recording, strip: Strip) -> tuple[int, int]:
    first = math.ceil(strip.start_s * recording.rate_hz - _ROUNDING)
    last = math.floor((strip.start_s + strip.length_s) * recording.rate_hz + _ROUNDING)
    return first, min(last + 1, recording.sample_count)


def _polylines(points: FloatArray, lead: str) -> list[Polyline]:
    """One line for each stretch without a missing sample; a single sample becomes a dot."""
    lines = []
    for start, stop in _runs(np.isfinite(points[:, 1])):
        run = points[start:stop]
        run = np.repeat(run, 2, axis=0) if len(run) == 1 else run
        lines.append(Polyline(points_mm=run, ink=Ink.TRACE, name=lead))
    return lines


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and stop of every stretch in which the mask holds."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return [(int(start), int(stop)) for start, stop in edges.reshape(-1, 2)]


def _ticks(strips: tuple[Strip, ...], rows: Rows) -> list[Mark]:
    """Two short strokes, above and below the level line, where one lead gives way to the next."""
    lines = []
    for strip in strips:
        if strip.column > 0:
            x, y = rows.left_mm(strip), rows.baseline_mm(strip)
            for near, far in ((-1.5, -1.5 - _TICK_MM), (1.5, 1.5 + _TICK_MM)):
                lines.append([[x, y + near], [x, y + far]])
    return [Segments(points_mm=np.array(lines), ink=Ink.TICK)] if lines else []


def _note(words: str, strip: Strip, rows: Rows, middle_mm: float | None = None) -> Text:
    centre = rows.left_mm(strip) + strip.column_span * rows.column_mm / 2
    return Text(
        x_mm=centre if middle_mm is None else middle_mm,
        y_mm=rows.baseline_mm(strip) + NOTE_SIZE_MM * 0.35,
        content=words,
        size_mm=NOTE_SIZE_MM,
        ink=Ink.QUIET_TEXT,
        anchor=Anchor.MIDDLE,
    )


def _gap_notes(points: FloatArray, strip: Strip, rows: Rows) -> list[Mark]:
    notes: list[Mark] = []
    for start, stop in _runs(np.isnan(points[:, 1])):
        left, right = points[start, 0], points[stop - 1, 0]
        if right - left >= _NOTED_GAP_MM:
            notes.append(_note("no samples", strip, rows, float(left + right) / 2))
    return notes


def _leaving_marks(
    points: FloatArray, strip: Strip, rows: Rows, gains: Gains
) -> list[tuple[Polyline, Text]]:
    """At most one arrow at the upper and one at the lower edge, where the trace goes furthest."""
    heights = points[:, 1]
    if not np.isfinite(heights).any():
        return []
    marks = []
    for index, edge_mm, inward in (
        (int(np.nanargmin(heights)), rows.box.top_mm, 1.0),
        (int(np.nanargmax(heights)), rows.box.bottom_mm, -1.0),
    ):
        if (edge_mm - heights[index]) * inward > 0:
            x, y = (float(value) for value in points[index])
            millivolts = (rows.baseline_mm(strip) - y) / gain_of(strip.lead, gains)
            words = f"{strip.label} to {millivolts:+.1f} mV".replace("-", "−")
            marks.append((_arrow(x, edge_mm, inward), _beside(x, edge_mm, words, rows.box)))
    return marks


def _arrow(x_mm: float, edge_mm: float, inward: float) -> Polyline:
    """A triangle with its tip on the plot's edge."""
    foot = edge_mm + inward * _ARROW_MM
    corners = [[x_mm, edge_mm], [x_mm - 0.8, foot], [x_mm + 0.8, foot], [x_mm, edge_mm]]
    return Polyline(points_mm=np.array(corners), ink=Ink.LEAVING)


def _beside(x_mm: float, edge_mm: float, words: str, box: Box) -> Text:
    """Words at the right of an arrow, or at its left where the plot ends."""
    is_room = x_mm + 1.4 + width_mm(words, NOTE_SIZE_MM) < box.right_mm
    return Text(
        x_mm=x_mm + (1.4 if is_room else -1.4),
        y_mm=edge_mm + 2.5 if edge_mm == box.top_mm else edge_mm - 0.8,
        content=words,
        size_mm=NOTE_SIZE_MM,
        anchor=Anchor.START if is_room else Anchor.END,
    )


def _clear_of(others: list[Text], words: Text, box: Box) -> Text:
    """The words, a line further inward for every other value in their way."""
    step = _LINE_MM if words.y_mm < box.top_mm + box.height_mm / 2 else -_LINE_MM
    while any(_overlap(words, other) for other in others):
        words = replace(words, y_mm=words.y_mm + step)
    return words


def _overlap(one: Text, other: Text) -> bool:
    left, right = (_plate(text).box for text in (one, other))
    is_beside = left.right_mm <= right.left_mm or right.right_mm <= left.left_mm
    return not is_beside and abs(one.y_mm - other.y_mm) < _LINE_MM / 2


def _plate(text: Text) -> Rectangle:
    """White paper under a text, so that the grid does not run through it."""
    width = width_mm(text.content, text.size_mm, bold=text.bold)
    left = text.x_mm - (width if text.anchor is Anchor.END else 0.0)
    box = Box(
        left_mm=left - 0.5,
        top_mm=text.y_mm - text.size_mm * 0.82,
        width_mm=width + 1.0,
        height_mm=text.size_mm,
    )
    return Rectangle(box=box, ink=Ink.PLATE)
