"""Samples as lines to scale, with their labels, gaps and whatever leaves the plot."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, is_chest_lead
from couchside.paper.model import Anchor, Box, Layer, Mark, Polyline, Rectangle, Segments, Text
from couchside.paper.rows import Rows
from couchside.paper.sizes import PrintSettings
from couchside.paper.typeface import width_mm
from couchside.recording import Recording

LABEL_SIZE_MM = 3.1
NOTE_SIZE_MM = 2.45

_LABEL_RISE_SHARE = 0.36
_LABEL_RISE_MAX_MM = 11.0
_NOTED_GAP_MM = 18.0
_TICK_MM = 2.5
_ARROW_MM = 2.0
_ROUNDING = 1e-6

FloatArray = NDArray[np.float64]


def make_traces(
    recording: Recording, strips: tuple[Strip, ...], rows: Rows, settings: PrintSettings
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
    settings : PrintSettings
        The gains.

    Returns
    -------
    tuple of Layer
        ``"labels"``, ``"traces"`` (clipped to the plot) and ``"notes"``: the words for empty places
        and gaps, and an arrow with the value wherever a trace leaves the plot.
    """
    labels: list[Mark] = []
    traces: list[Polyline] = []
    notes: list[Mark] = []
    for strip in strips:
        labels += _label(strip, rows)
        if not strip.is_recorded:
            notes.append(_note("not recorded", strip, rows))
            continue
        points = strip_points_mm(recording, strip, rows, settings)
        traces += _polylines(points, strip.lead)
        notes += _gap_notes(points, strip, rows)
        notes += _leaving_marks(points, strip, rows, settings)
    return (
        Layer(name="labels", marks=(*_ticks(strips, rows), *labels)),
        Layer(name="traces", marks=tuple(traces), clip=rows.box),
        Layer(name="notes", marks=tuple(notes)),
    )


def gain_of(lead: str, settings: PrintSettings) -> float:
    """The gain at which a lead is drawn, in mm/mV."""
    return settings.chest_gain_mm_per_mv if is_chest_lead(lead) else settings.limb_gain_mm_per_mv


def strip_points_mm(
    recording: Recording, strip: Strip, rows: Rows, settings: PrintSettings
) -> FloatArray:
    """Where each sample of a strip stands on the page.

    Returns
    -------
    array of shape (sample, 2)
        x and y in mm; y is NaN where a sample is missing. Empty where the strip lies behind the
        end of the recording.
    """
    first, stop = _sample_range(recording, strip)
    samples = recording.get_lead(strip.lead)[first:stop]
    level = float(np.nanmedian(samples)) if np.isfinite(samples).any() else 0.0
    scale = gain_of(strip.lead, settings) / 1000.0 * (-1.0 if strip.is_inverted else 1.0)
    points = np.empty((samples.size, 2))
    seconds = np.arange(first, first + samples.size) / recording.rate_hz - strip.start_s
    points[:, 0] = rows.left_mm(strip) + seconds * rows.speed_mm_per_s
    points[:, 1] = rows.baseline_mm(strip) - (samples - level) * scale
    return points


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


def _label(strip: Strip, rows: Rows) -> list[Mark]:
    rise = min(rows.pitch_mm * _LABEL_RISE_SHARE, _LABEL_RISE_MAX_MM)
    left, bottom = rows.left_mm(strip) + 1.2, rows.baseline_mm(strip) - rise
    plate = Box(
        left_mm=left - 0.5,
        top_mm=bottom - LABEL_SIZE_MM * 0.82,
        width_mm=width_mm(strip.label, LABEL_SIZE_MM, bold=True) + 1.0,
        height_mm=LABEL_SIZE_MM * 1.0,
    )
    text = Text(x_mm=left, y_mm=bottom, content=strip.label, size_mm=LABEL_SIZE_MM, bold=True)
    return [Rectangle(box=plate, ink=Ink.PLATE), text]


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
    points: FloatArray, strip: Strip, rows: Rows, settings: PrintSettings
) -> list[Mark]:
    if not np.isfinite(points[:, 1]).any():
        return []
    marks: list[Mark] = []
    highest, lowest = int(np.nanargmin(points[:, 1])), int(np.nanargmax(points[:, 1]))
    if points[highest, 1] < rows.box.top_mm:
        marks += _arrow(points[highest], rows.box.top_mm, 1.0, strip, rows, settings)
    if points[lowest, 1] > rows.box.bottom_mm:
        marks += _arrow(points[lowest], rows.box.bottom_mm, -1.0, strip, rows, settings)
    return marks


def _arrow(
    point: FloatArray,
    edge_mm: float,
    inward: float,
    strip: Strip,
    rows: Rows,
    settings: PrintSettings,
) -> list[Mark]:
    """A triangle at the plot's edge, and how far the trace goes behind it."""
    x = float(point[0])
    millivolts = (rows.baseline_mm(strip) - float(point[1])) / gain_of(strip.lead, settings)
    triangle = np.array(
        [
            [x, edge_mm],
            [x - 0.8, edge_mm + inward * _ARROW_MM],
            [x + 0.8, edge_mm + inward * _ARROW_MM],
            [x, edge_mm],
        ]
    )
    words = f"{strip.label} to {millivolts:+.1f} mV".replace("-", "−")
    room = width_mm(words, NOTE_SIZE_MM)
    left = x + 1.4 if x + 1.4 + room < rows.box.right_mm else x - 1.4 - room
    y = edge_mm + (2.4 if inward > 0 else -0.8)
    plate = Box(left_mm=left - 0.3, top_mm=y - 2.0, width_mm=room + 0.6, height_mm=2.6)
    return [
        Polyline(points_mm=triangle, ink=Ink.LEAVING),
        Rectangle(box=plate, ink=Ink.PLATE),
        Text(x_mm=left, y_mm=y, content=words, size_mm=NOTE_SIZE_MM),
    ]
