"""Two representative beats of each lead, one over the other, to scale.

The new beat is a whole line, the earlier one a broken line, so that they are told apart without
colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.paper.calibration import make_calibration
from couchside.paper.grid import COARSE_MM, make_grid
from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Anchor, Box, Drawing, Layer, Mark, Polyline, Text
from couchside.paper.page import Page
from couchside.paper.rows import Rows
from couchside.paper.sizes import Gains
from couchside.serial import AlignedBeats, Comparison
from couchside.serial.words import describe_when

OVERLAY_SPEED_MM_PER_S = 50.0
"""Twice the usual speed: a beat is short, and its differences are small."""

_GAINS_MM_PER_MV = (10.0, 5.0)
_BEFORE_S = 0.25
_ZONE_MM = 15.0
_COLUMN_MM = 40.0
_MARGIN_MM = 1.0
_CAPTION_MM = 4.6
_LABEL_SIZE_MM = 2.8
_CAPTION_SIZE_MM = 2.45
_ABOVE_MM, _BELOW_MM = 6.0, 3.0
_LEAST_ABOVE_MM, _LEAST_BELOW_MM = 11.0, 4.0
_MOST_MM = 45.0
_NO_BEATS = "the two beats could not be laid upon each other, so there is nothing to draw"

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """Marks of an overlay, and the box of its grid."""

    layers: tuple[Layer, ...]
    box: Box
    gain_mm_per_mv: float


def overlay(comparison: Comparison, *, column_count: int = 4) -> Page:
    """Draw the overlay alone, as for a web page.

    Parameters
    ----------
    comparison : Comparison
        With aligned beats.
    column_count : int
        Leads in a row.

    Raises
    ------
    InvalidInput
        If the beats could not be aligned.
    """
    beats = get_beats(comparison)
    drawn = draw_overlay(
        beats,
        left_mm=_MARGIN_MM,
        top_mm=_MARGIN_MM,
        width_mm=_ZONE_MM + column_count * _COLUMN_MM,
        column_count=column_count,
        room_mm=math.inf,
    )
    caption = Text(
        x_mm=drawn.box.left_mm,
        y_mm=drawn.box.bottom_mm + 3.2,
        content=describe_overlay(comparison, drawn),
        size_mm=_CAPTION_SIZE_MM,
        ink=Ink.QUIET_TEXT,
    )
    return Page(
        drawing=Drawing(
            width_mm=drawn.box.right_mm + _MARGIN_MM,
            height_mm=drawn.box.bottom_mm + _CAPTION_MM,
            title="ECG comparison",
            description=f"Beats of leads {', '.join(beats.leads)}, now and then, laid upon another",
            layers=(*drawn.layers, Layer(name="caption", marks=(caption,))),
        )
    )


def get_beats(comparison: Comparison) -> AlignedBeats:
    """The aligned beats; raises InvalidInput where there are none."""
    if comparison.beats is None:
        raise InvalidInput(_NO_BEATS)
    return comparison.beats


def describe_overlay(comparison: Comparison, drawn: Overlay) -> str:
    """What the lines are, and the scale."""
    return (
        f"whole line: this recording · broken line: {describe_when(comparison)} · "
        f"{OVERLAY_SPEED_MM_PER_S:g} mm/s, {drawn.gain_mm_per_mv:g} mm/mV · laid upon another by "
        "QRS, level before QRS"
    )


def draw_overlay(
    beats: AlignedBeats,
    *,
    left_mm: float,
    top_mm: float,
    width_mm: float,
    column_count: int,
    room_mm: float,
) -> Overlay:
    """Grid, calibration pulses and both beats of every lead.

    Parameters
    ----------
    beats : AlignedBeats
        What is drawn.
    left_mm, top_mm, width_mm : float
        Where the grid stands.
    column_count : int
        Leads in a row.
    room_mm : float
        Height that the grid may take: where it would take more at 10 mm/mV, 5 mm/mV is drawn.
    """
    window_s = (width_mm - _ZONE_MM) / column_count / OVERLAY_SPEED_MM_PER_S
    strips = tuple(
        _strip(lead, number, column_count, window_s) for number, lead in enumerate(beats.leads)
    )
    shown = _window(beats, window_s)
    gain, rows = 0.0, None
    for gain in _GAINS_MM_PER_MV:
        rows = _stack_rows(shown, strips, gain, (left_mm, top_mm, width_mm), column_count)
        if rows.box.height_mm <= room_mm:
            break
    if rows is None:
        raise InvalidInput(_NO_BEATS)
    gains = Gains(limb_mm_per_mv=gain, chest_mm_per_mv=gain)
    return Overlay(
        layers=(
            make_grid(rows.box),
            make_calibration(strips, rows, gains),
            *(
                Layer(
                    name=name,
                    marks=tuple(
                        _line(shown.times_s, beat, strip, rows, gain_mm_per_mv=gain, ink=ink)
                        for beat, strip in zip(microvolts, strips, strict=True)
                    ),
                    clip=rows.box,
                )
                for name, microvolts, ink in (
                    ("earlier-beats", shown.old_uv, Ink.EARLIER),
                    ("beats", shown.new_uv, Ink.TRACE),
                )
            ),
            Layer(name="labels", marks=tuple(_label(strip, rows) for strip in strips)),
        ),
        box=rows.box,
        gain_mm_per_mv=gain,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Window:
    """The samples that are drawn; times count from the window's start."""

    times_s: FloatArray
    new_uv: FloatArray
    old_uv: FloatArray


def _window(beats: AlignedBeats, window_s: float) -> _Window:
    samples = np.arange(beats.new_uv.shape[1], dtype=np.float64)
    times_s: FloatArray = (samples - beats.qrs_onset) / beats.rate_hz + _BEFORE_S
    inside = (times_s >= 0.0) & (times_s <= window_s)
    return _Window(
        times_s=times_s[inside], new_uv=beats.new_uv[:, inside], old_uv=beats.old_uv[:, inside]
    )


def _strip(lead: str, number: int, column_count: int, window_s: float) -> Strip:
    row, column = divmod(number, column_count)
    return make_strip(
        lead,
        row=row,
        column=column,
        length_s=window_s,
    )


def _stack_rows(
    shown: _Window,
    strips: tuple[Strip, ...],
    gain: float,
    place_mm: tuple[float, float, float],
    column_count: int,
) -> Rows:
    """Rows as high as their traces need, in whole coarse squares."""
    left, top, width = place_mm
    both = np.nan_to_num(np.stack((shown.new_uv, shown.old_uv))) * gain / 1000.0
    rises, falls = both.max(axis=(0, 2)), -both.min(axis=(0, 2))
    bottom, baselines = top, []
    for row in range(strips[-1].row + 1):
        members = [number for number, strip in enumerate(strips) if strip.row == row]
        rise = math.ceil(float(rises[members].max()) + _ABOVE_MM)
        fall = math.ceil(float(falls[members].max()) + _BELOW_MM)
        above = min(max(rise, _LEAST_ABOVE_MM), _MOST_MM)
        below = min(max(fall, _LEAST_BELOW_MM), _MOST_MM)
        baselines.append(bottom + above)
        bottom += math.ceil((above + below) / COARSE_MM) * COARSE_MM
    return Rows(
        box=Box(left_mm=left, top_mm=top, width_mm=width, height_mm=bottom - top),
        zone_mm=_ZONE_MM,
        baselines_mm=tuple(baselines),
        column_count=column_count,
        speed_mm_per_s=OVERLAY_SPEED_MM_PER_S,
        label_rise_mm=0.0,
    )


def _line(
    times_s: FloatArray,
    microvolts: FloatArray,
    strip: Strip,
    rows: Rows,
    *,
    gain_mm_per_mv: float,
    ink: Ink,
) -> Mark:
    """One beat; where less than two samples are known, a dot on the level line."""
    known = np.isfinite(microvolts)
    if np.count_nonzero(known) < 2:
        times_s, microvolts, known = times_s[:1], np.zeros(1), np.full(2, 0)
    points = np.empty((times_s[known].size, 2))
    points[:, 0] = rows.left_mm(strip) + times_s[known] * OVERLAY_SPEED_MM_PER_S
    points[:, 1] = rows.baseline_mm(strip) - microvolts[known] * gain_mm_per_mv / 1000.0
    return Polyline(points_mm=points, ink=ink, name=strip.lead)


def _label(strip: Strip, rows: Rows) -> Text:
    top = rows.box.top_mm if strip.row == 0 else _row_top(strip.row, rows)
    return Text(
        x_mm=rows.left_mm(strip) + 1.0,
        y_mm=top + 3.6,
        content=strip.label,
        size_mm=_LABEL_SIZE_MM,
        bold=True,
        anchor=Anchor.START,
    )


def _row_top(row: int, rows: Rows) -> float:
    """Half way between the level lines of this row and the one above it, at most 12 mm above."""
    between = (rows.baselines_mm[row - 1] + rows.baselines_mm[row]) / 2
    return max(between, rows.baselines_mm[row] - 14.0)
