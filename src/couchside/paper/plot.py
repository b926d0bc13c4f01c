"""The plot of a page: which lead stands where, and how much height each row gets."""

from __future__ import annotations

import math
from itertools import pairwise

from couchside.paper.calibration import count_lanes
from couchside.paper.layouts import Arrangement, arrange
from couchside.paper.model import Box
from couchside.paper.rows import Rows, calibration_zone_mm, place_baselines
from couchside.paper.sizes import PrintSettings
from couchside.paper.traces import extent_mm
from couchside.recording import Recording

_LABEL_RISE_SHARE = 0.36
_LABEL_RISE_MAX_MM = 11.0


def divide_plot(
    recording: Recording, settings: PrintSettings, box: Box
) -> tuple[Arrangement, Rows]:
    """Rows and columns of the plot.

    How much time a row holds depends on the room for calibration pulses, that room on which leads
    share a row and how close rows stand, and that on what they show; the leads are therefore
    arranged once to see, and once to stay.
    """
    speed, gains = settings.speed_mm_per_s, settings.gains
    seen = arrange(recording, settings, box.width_mm / speed)
    closest_mm = _closest_mm(_place(recording, settings, seen, box))
    lane_count = count_lanes(seen.strips, gains, closest_mm)
    zone_mm = calibration_zone_mm(speed, lane_count)
    arrangement = arrange(recording, settings, (box.width_mm - zone_mm) / speed)
    share_mm = box.height_mm / arrangement.row_count
    rows = Rows(
        box=box,
        zone_mm=zone_mm,
        baselines_mm=_place(recording, settings, arrangement, box),
        column_count=arrangement.column_count,
        speed_mm_per_s=speed,
        label_rise_mm=min(share_mm * _LABEL_RISE_SHARE, _LABEL_RISE_MAX_MM),
        labels_seek_quiet=True,
        lane_count=lane_count,
    )
    return arrangement, rows


def _place(
    recording: Recording, settings: PrintSettings, arrangement: Arrangement, box: Box
) -> tuple[float, ...]:
    extents: list[tuple[float, float]] = [(0.0, 0.0)] * arrangement.row_count
    for strip in arrangement.strips:
        rise, fall = extent_mm(recording, strip, settings.gains)
        above, below = extents[strip.row]
        extents[strip.row] = (max(rise, above), max(fall, below))
    return place_baselines(box, extents, pulse_mm=settings.gains.tallest_mm_per_mv)


def _closest_mm(baselines_mm: tuple[float, ...]) -> float:
    return min((below - above for above, below in pairwise(baselines_mm)), default=math.inf)
