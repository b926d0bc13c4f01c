"""Where rows, columns and time stand in the plot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

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
_LEAST_DISTANCE_MM = 6.0


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
    labels_seek_quiet : bool
        Whether labels may leave that place for one where no trace runs.
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
    labels_seek_quiet: bool = False
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
    box: Box, extents_mm: Sequence[tuple[float, float]], *, pulse_mm: float
) -> tuple[float, ...]:
    """Level lines on millimetre lines, apart by what the traces between them need.

    Parameters
    ----------
    box : Box
        The plot.
    extents_mm : sequence of (rise, fall)
        How far each row's traces rise above and fall below their level line. More than 30 mm is
        the extent of no trace that is normally drawn, and counts as that of a usual one.
    pulse_mm : float
        Height of the tallest calibration pulse, which stays inside the plot.

    Returns
    -------
    tuple of float
        y of each row. Where there is room, rows stand evenly, and further apart where two traces
        would meet; where there is not, first and last row keep their room at the edges and the
        distances between are in proportion to what they need.
    """
    share = box.height_mm / len(extents_mm)
    rises = [_needed_mm(rise, share) for rise, _ in extents_mm]
    falls = [_needed_mm(fall, share) for _, fall in extents_mm]
    above = max(rises[0] + _EDGE_ROOM_MM, pulse_mm + _EDGE_ROOM_MM)
    below = falls[-1] + _EDGE_ROOM_MM
    between = [fall + rise for fall, rise in zip(falls[:-1], rises[1:], strict=True)]
    needs = [max(above, share * _BASELINE_SHARE), *between]
    last = max(below, share * (1 - _BASELINE_SHARE))
    if sum(between) + needs[0] + last > box.height_mm:
        needs[0], last = above, below
    distances = [needs[0], *_share_out(between, box.height_mm - needs[0] - last, pulse_mm)]
    return tuple(box.top_mm + round(place) for place in accumulate(distances))


def _needed_mm(extent_mm: float, share_mm: float) -> float:
    return extent_mm if extent_mm <= _MOST_ROOM_MM - _EDGE_ROOM_MM else share_mm / 2


def _share_out(needs: list[float], room_mm: float, pulse_mm: float) -> list[float]:
    """The most even distances that give each its need; where they do not fit, in proportion.

    Every second row shares a lane of calibration pulses, and keeps room for one.
    """
    if not needs:
        return []
    least = min(max(_LEAST_DISTANCE_MM, (pulse_mm + PULSE_GAP_MM) / 2), room_mm / len(needs))
    if sum(needs) > room_mm:
        over = [max(need - least, 0.0) for need in needs]
        return [least + each * (room_mm - least * len(needs)) / sum(over) for each in over]
    even, rest = room_mm / len(needs), sorted(needs)
    while len(rest) > 1 and rest[-1] > even:
        room_mm -= rest.pop()
        even = room_mm / len(rest)
    return [max(need, even) for need in needs]
