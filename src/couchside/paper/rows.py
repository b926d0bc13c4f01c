"""Where rows, columns and time stand in the plot."""

from __future__ import annotations

import math
from dataclasses import dataclass

from couchside.paper.grid import COARSE_MM
from couchside.paper.layouts import Strip
from couchside.paper.model import Box

CALIBRATION_S = 0.2
CALIBRATION_MV = 1.0
"""The calibration pulse: 1 mV for 200 ms [AHA2007-I]."""

PULSE_GAP_MM = 1.25
_LEAST_ZONE_MM = 15.0
_BASELINE_SHARE = 0.55
_EDGE_ROOM_MM = 1.5
_MOST_ROOM_MM = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """The plot divided into a zone for calibration pulses, rows and columns.

    Parameters
    ----------
    box : Box
        The plot, which the grid fills.
    zone_mm : float
        Width of the zone for calibration pulses at its left.
    baselines_mm : tuple of float
        y of each row's level line.
    column_count : int
        Columns of equal width to the right of the zone.
    speed_mm_per_s : float
        The paper's speed.
    label_rise_mm : float
        How far above the level line a lead's label stands.
    label_shift_mm : float
        How far right of the place where a strip's time begins its label stands.
    lane_count : int
        Calibration pulses side by side in the zone.
    """

    box: Box
    zone_mm: float
    baselines_mm: tuple[float, ...]
    column_count: int
    speed_mm_per_s: float
    label_rise_mm: float
    label_shift_mm: float = 1.2
    lane_count: int = 1

    @property
    def column_mm(self) -> float:
        """Width of one column."""
        return (self.box.width_mm - self.zone_mm) / self.column_count

    def left_mm(self, strip: Strip) -> float:
        """The x at which a strip's time begins."""
        return self.box.left_mm + self.zone_mm + strip.column * self.column_mm

    def baseline_mm(self, strip: Strip) -> float:
        """The y of a strip's level line."""
        return self.baselines_mm[strip.row]


def calibration_zone_mm(speed_mm_per_s: float, lane_count: int) -> float:
    """Room for that many calibration pulses side by side, in whole coarse squares."""
    pulses_mm = lane_count * CALIBRATION_S * speed_mm_per_s + (lane_count + 1) * PULSE_GAP_MM
    return max(_LEAST_ZONE_MM, math.ceil(pulses_mm / COARSE_MM) * COARSE_MM)


def place_baselines(
    box: Box, row_count: int, *, pulse_mm: float, rise_mm: float, fall_mm: float
) -> tuple[float, ...]:
    """Level lines at even distances, on millimetre lines.

    Parameters
    ----------
    box : Box
        The plot.
    row_count : int
        How many rows it holds.
    pulse_mm : float
        Height of the tallest calibration pulse, which stays inside the plot.
    rise_mm, fall_mm : float
        How far the top row's traces rise and the bottom row's fall; they get the room they need
        unless that is more than 30 mm, with which no trace is normally drawn.

    Returns
    -------
    tuple of float
        y of each row.
    """
    share = box.height_mm / row_count
    above = max(share * _BASELINE_SHARE, pulse_mm + _EDGE_ROOM_MM, _needed_room_mm(rise_mm))
    below = max(share * (1 - _BASELINE_SHARE), _needed_room_mm(fall_mm))
    pitch = (box.height_mm - above - below) / max(row_count - 1, 1)
    return tuple(box.top_mm + round(above + row * pitch) for row in range(row_count))


def _needed_room_mm(extent_mm: float) -> float:
    needed = extent_mm + _EDGE_ROOM_MM
    return needed if needed <= _MOST_ROOM_MM else 0.0
