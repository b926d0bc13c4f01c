"""The calibration pulse at the head of every row."""

from __future__ import annotations

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, is_chest_lead
from couchside.paper.model import Anchor, Layer, Mark, Polyline, Text
from couchside.paper.rows import CALIBRATION_MV, CALIBRATION_S, PULSE_GAP_MM, Rows
from couchside.paper.sizes import Gains

_WORD_SIZE_MM = 2.3


def count_lanes(strips: tuple[Strip, ...], gains: Gains, row_share_mm: float) -> int:
    """How many pulses stand side by side at the head of the rows.

    Two where limb and chest gain meet in one row, and two where a pulse is taller than a row, so
    that rows may take turns and no pulse runs into the one above it.
    """
    rows = {strip.row for strip in strips}
    fullest = max(len(_groups(strips, row, gains)) for row in rows)
    is_crowded = len(rows) > 1 and gains.tallest_mm_per_mv + PULSE_GAP_MM > row_share_mm
    return max(fullest, 2 if is_crowded else 1)


def make_calibration(strips: tuple[Strip, ...], rows: Rows, gains: Gains) -> Layer:
    """Draw 1 mV for 200 ms at the head of every row, once for each gain in the row.

    Returns
    -------
    Layer
        A named line ``"limb"``, ``"chest"`` or ``"all"`` for each pulse; with split gain the
        group's name stands under it.
    """
    marks: list[Mark] = []
    for row, baseline_mm in enumerate(rows.baselines_mm):
        groups = _groups(strips, row, gains)
        for index, (group, gain) in enumerate(groups):
            lane = (row if len(groups) == 1 else index) % rows.lane_count
            left = _pulse_left_mm(rows, lane)
            marks.append(_pulse(left, baseline_mm, gain, rows.speed_mm_per_s, group))
            if gains.are_split:
                marks.append(_word(group, left, baseline_mm, rows))
    return Layer(name="calibration", marks=tuple(marks))


def _groups(strips: tuple[Strip, ...], row: int, gains: Gains) -> list[tuple[str, float]]:
    """The lead groups of a row with their gains, limb leads first."""
    if not gains.are_split:
        return [("all", gains.limb_mm_per_mv)]
    has_chest = [is_chest_lead(strip.lead) for strip in strips if strip.row == row]
    limb = [("limb", gains.limb_mm_per_mv)] if not all(has_chest) else []
    chest = [("chest", gains.chest_mm_per_mv)] if any(has_chest) else []
    return limb + chest


def _pulse_left_mm(rows: Rows, lane: int) -> float:
    pulse_mm = CALIBRATION_S * rows.speed_mm_per_s
    gap_mm = (rows.zone_mm - rows.lane_count * pulse_mm) / (rows.lane_count + 1)
    return rows.box.left_mm + gap_mm + lane * (pulse_mm + gap_mm)


def _pulse(left_mm: float, baseline_mm: float, gain: float, speed: float, group: str) -> Polyline:
    top_mm, right_mm = baseline_mm - CALIBRATION_MV * gain, left_mm + CALIBRATION_S * speed
    points = np.array(
        [
            [left_mm - PULSE_GAP_MM, baseline_mm],
            [left_mm, baseline_mm],
            [left_mm, top_mm],
            [right_mm, top_mm],
            [right_mm, baseline_mm],
            [right_mm + PULSE_GAP_MM, baseline_mm],
        ]
    )
    return Polyline(points_mm=points, ink=Ink.CALIBRATION, name=group)


def _word(group: str, left_mm: float, baseline_mm: float, rows: Rows) -> Text:
    return Text(
        x_mm=left_mm + CALIBRATION_S * rows.speed_mm_per_s / 2,
        y_mm=baseline_mm + 3.0,
        content=group,
        size_mm=_WORD_SIZE_MM,
        ink=Ink.QUIET_TEXT,
        anchor=Anchor.MIDDLE,
    )
