"""A small strip to scale: the evidence of a finding, with its span marked."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from couchside.errors import InvalidInput
from couchside.paper.calibration import make_calibration
from couchside.paper.grid import COARSE_MM, make_grid
from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Anchor, Box, Drawing, Layer, Rectangle, Segments, Text
from couchside.paper.page import Page
from couchside.paper.rows import Rows, calibration_zone_mm
from couchside.paper.sizes import (
    STANDARD_GAIN_MM_PER_MV,
    STANDARD_SPEED_MM_PER_S,
    Gains,
    check_speed,
)
from couchside.paper.traces import NOTE_SIZE_MM, extent_mm, make_traces
from couchside.paper.wording import short_digest
from couchside.recording import Recording

LONGEST_MM = 250.0
MARGIN_MM = 1.0
AXIS_MM = 4.4

_CONTEXT_S = 0.6
_SHORTEST_S = 3.0
_ROOM_ABOVE_MM = 3.0
_ROOM_BELOW_MM = 2.0
_LEAST_ABOVE_MM = 10.0
_LEAST_BELOW_MM = 5.0
TALLEST_ROW_MM = 45.0
_LABEL_RISE_MM = -3.6
_LABEL_SHIFT_MM = 1.8
"""Under the calibration pulse, where no trace runs."""


def excerpt(
    recording: Recording,
    leads: Sequence[str],
    span_s: tuple[float, float],
    *,
    speed_mm_per_s: float = STANDARD_SPEED_MM_PER_S,
    gain_mm_per_mv: float = STANDARD_GAIN_MM_PER_MV,
    tallest_row_mm: float = TALLEST_ROW_MM,
) -> Page:
    """Draw some leads around one stretch of time, and mark the stretch.

    Parameters
    ----------
    recording : Recording
        Drawn as recorded, as `render` does.
    leads : sequence of str
        One row each, in this order.
    span_s : (start, end)
        What to mark, in seconds of the recording; where it goes beyond the recording it is cut.
    speed_mm_per_s : {25, 50}
        The paper's speed.
    gain_mm_per_mv : {5, 10, 20}
        For every lead.
    tallest_row_mm : float
        How far a row reaches at most above and below its level line.

    Returns
    -------
    Page
        At least 3 s of the recording (or all there is) with 0.6 s before and after the span, at
        most 250 mm; a longer span is shown from its start, and the strip says so. Rows are as high
        as their traces need, up to `tallest_row_mm` each way from the level line; what goes beyond
        the drawing carries an arrow.

    Raises
    ------
    InvalidInput
        If no lead is given, a lead is not in the recording, the span lies outside the recording or
        has no length, or a choice is unknown.
    """
    check_speed(speed_mm_per_s)
    gains = Gains(limb_mm_per_mv=gain_mm_per_mv, chest_mm_per_mv=gain_mm_per_mv)
    _check_leads(recording, leads)
    marked_s = _cut_to_recording(recording, span_s)
    window_s = _choose_window(recording, marked_s, LONGEST_MM / speed_mm_per_s)
    strips = tuple(_strip(lead, row, window_s) for row, lead in enumerate(leads))
    rows = stack_rows(
        [(recording, strip) for strip in strips],
        gains,
        speed_mm_per_s,
        tallest_row_mm=tallest_row_mm,
    )
    return Page(
        drawing=Drawing(
            width_mm=rows.box.right_mm + MARGIN_MM,
            height_mm=rows.box.bottom_mm + AXIS_MM,
            title=f"ECG excerpt {short_digest(recording)}".strip(),
            description=_describe(leads, window_s, marked_s),
            layers=(
                _shade_span(rows, window_s, marked_s),
                make_grid(rows.box),
                _edge_span(rows, window_s, marked_s),
                make_calibration(strips, rows, gains),
                *make_traces(recording, strips, rows, gains),
                _write_axis(rows, window_s, marked_s, gain_mm_per_mv),
            ),
        )
    )


def _check_leads(recording: Recording, leads: Sequence[str]) -> None:
    if not leads:
        raise InvalidInput("an excerpt without leads shows nothing; name at least one lead")
    for lead in leads:
        recording.get_lead(lead)


def _cut_to_recording(recording: Recording, span_s: tuple[float, float]) -> tuple[float, float]:
    start, end = max(span_s[0], 0.0), min(span_s[1], recording.duration_s)
    if not start < end:
        raise InvalidInput(
            f"the span from {span_s[0]} to {span_s[1]} s holds nothing of a recording of "
            f"{recording.duration_s:g} s; give a start and a later end within it"
        )
    return start, end


def _choose_window(
    recording: Recording, marked_s: tuple[float, float], longest_s: float
) -> tuple[float, float]:
    """Start and end on fifths of a second, so that they stand on coarse grid lines."""
    wanted = marked_s[1] - marked_s[0] + 2 * _CONTEXT_S
    length = min(max(wanted, _SHORTEST_S), longest_s)
    start = (
        (marked_s[0] + marked_s[1] - length) / 2
        if wanted <= longest_s
        else (marked_s[0] - _CONTEXT_S)
    )
    start = max(min(start, recording.duration_s - length), 0.0)
    start = math.floor(start * 5 + 1e-6) / 5
    end = math.ceil((start + length) * 5 - 1e-6) / 5
    whole_end = math.ceil(recording.duration_s * 5 - 1e-6) / 5
    return start, min(end, start + longest_s, whole_end)


def _strip(lead: str, row: int, window_s: tuple[float, float]) -> Strip:
    return make_strip(
        lead,
        row=row,
        start_s=window_s[0],
        length_s=window_s[1] - window_s[0],
    )


def stack_rows(
    strips: Sequence[tuple[Recording, Strip]],
    gains: Gains,
    speed_mm_per_s: float,
    *,
    tallest_row_mm: float = TALLEST_ROW_MM,
) -> Rows:
    """Rows under one another, each as high as its trace needs, in whole coarse squares."""
    zone_mm = calibration_zone_mm(speed_mm_per_s, 1)
    length_s = strips[0][1].length_s
    width_mm = zone_mm + round(length_s * speed_mm_per_s / COARSE_MM) * COARSE_MM
    bottom, baselines = MARGIN_MM, []
    for recording, strip in strips:
        above, below = _room_mm(extent_mm(recording, strip, gains), gains, tallest_row_mm)
        baselines.append(bottom + above)
        bottom += math.ceil((above + below) / COARSE_MM) * COARSE_MM
    return Rows(
        box=Box(
            left_mm=MARGIN_MM, top_mm=MARGIN_MM, width_mm=width_mm, height_mm=bottom - MARGIN_MM
        ),
        zone_mm=zone_mm,
        baselines_mm=tuple(baselines),
        column_count=1,
        speed_mm_per_s=speed_mm_per_s,
        label_rise_mm=_LABEL_RISE_MM,
        label_shift_mm=_LABEL_SHIFT_MM - zone_mm,
    )


def _room_mm(extent: tuple[float, float], gains: Gains, tallest_mm: float) -> tuple[float, float]:
    """Room above and below the level line, in whole millimetres."""
    rise_mm, fall_mm = extent
    least = max(_LEAST_ABOVE_MM, gains.tallest_mm_per_mv + 1.0)
    above = max(min(math.ceil(rise_mm + _ROOM_ABOVE_MM), tallest_mm), least)
    return above, max(min(math.ceil(fall_mm + _ROOM_BELOW_MM), tallest_mm), _LEAST_BELOW_MM)


def _x_mm(rows: Rows, window_s: tuple[float, float], second: float) -> float:
    inside = min(max(second, window_s[0]), window_s[1])
    return rows.box.left_mm + rows.zone_mm + (inside - window_s[0]) * rows.speed_mm_per_s


def _shade_span(rows: Rows, window_s: tuple[float, float], marked_s: tuple[float, float]) -> Layer:
    left, right = (_x_mm(rows, window_s, second) for second in marked_s)
    shade = Box(
        left_mm=left,
        top_mm=rows.box.top_mm,
        width_mm=right - left,
        height_mm=rows.box.height_mm,
    )
    return Layer(name="span", marks=(Rectangle(box=shade, ink=Ink.SPAN),))


def _edge_span(rows: Rows, window_s: tuple[float, float], marked_s: tuple[float, float]) -> Layer:
    """A stroke at each end of the marked stretch that the strip shows."""
    edges = [_x_mm(rows, window_s, second) for second in marked_s if second <= window_s[1]]
    lines = [[[x, rows.box.top_mm], [x, rows.box.bottom_mm]] for x in edges]
    return Layer(name="span-edges", marks=(Segments(points_mm=np.array(lines), ink=Ink.SPAN_EDGE),))


def _write_axis(
    rows: Rows, window_s: tuple[float, float], marked_s: tuple[float, float], gain: float
) -> Layer:
    """Under the strip: what it shows, what is marked, and the scale."""
    beyond = " and beyond" if marked_s[1] > window_s[1] else ""
    shown = f"{window_s[0]:.1f}–{window_s[1]:.1f} s"
    told = f"{shown}, marked {marked_s[0]:.1f}–{min(marked_s[1], window_s[1]):.1f} s{beyond}"
    y = rows.box.bottom_mm + 3.1
    return Layer(
        name="axis",
        marks=(
            Text(
                x_mm=rows.box.left_mm,
                y_mm=y,
                content=told,
                size_mm=NOTE_SIZE_MM,
                ink=Ink.QUIET_TEXT,
            ),
            Text(
                x_mm=rows.box.right_mm,
                y_mm=y,
                content=f"{rows.speed_mm_per_s:g} mm/s, {gain:g} mm/mV",
                size_mm=NOTE_SIZE_MM,
                ink=Ink.QUIET_TEXT,
                anchor=Anchor.END,
            ),
        ),
    )


def _describe(
    leads: Sequence[str], window_s: tuple[float, float], marked_s: tuple[float, float]
) -> str:
    words = f"lead {leads[0]}" if len(leads) == 1 else f"leads {', '.join(leads)}"
    return (
        f"Excerpt of the ECG, {words}, {window_s[0]:.1f} to {window_s[1]:.1f} s; "
        f"{marked_s[0]:.1f} to {marked_s[1]:.1f} s is marked"
    )
