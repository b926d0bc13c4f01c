"""The calibration pulse at the head of every row."""

from __future__ import annotations

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, is_chest_lead
from couchside.paper.model import Anchor, Layer, Mark, Polyline, Text
from couchside.paper.rows import CALIBRATION_MV, CALIBRATION_S, PULSE_GAP_MM, Rows
from couchside.paper.sizes import PrintSettings

_WORD_SIZE_MM = 2.3


def count_pulses(strips: tuple[Strip, ...], settings: PrintSettings) -> int:
    """How many pulses the fullest row needs: two where limb and chest gain meet in one row."""
    rows = {strip.row for strip in strips}
    return max(len(_groups(strips, row, settings)) for row in rows)


def make_calibration(strips: tuple[Strip, ...], rows: Rows, settings: PrintSettings) -> Layer:
    """Draw 1 mV for 200 ms at the head of every row, once for each gain in the row.

    Returns
    -------
    Layer
        A named line ``"limb"``, ``"chest"`` or ``"all"`` for each pulse; with split gain the
        group's name stands under it.
    """
    marks: list[Mark] = []
    for row, baseline_mm in enumerate(rows.baselines_mm):
        groups = _groups(strips, row, settings)
        for index, (group, gain) in enumerate(groups):
            left = _pulse_left_mm(rows, index, len(groups))
            marks.append(_pulse(left, baseline_mm, gain, rows.speed_mm_per_s, group))
            if settings.has_split_gain:
                marks.append(_word(group, left, baseline_mm, rows))
    return Layer(name="calibration", marks=tuple(marks))


def _groups(
    strips: tuple[Strip, ...], row: int, settings: PrintSettings
) -> list[tuple[str, float]]:
    """The lead groups of a row with their gains, limb leads first."""
    if not settings.has_split_gain:
        return [("all", settings.limb_gain_mm_per_mv)]
    has_chest = [is_chest_lead(strip.lead) for strip in strips if strip.row == row]
    limb = [("limb", settings.limb_gain_mm_per_mv)] if not all(has_chest) else []
    chest = [("chest", settings.chest_gain_mm_per_mv)] if any(has_chest) else []
    return limb + chest


def _pulse_left_mm(rows: Rows, index: int, count: int) -> float:
    pulse_mm = CALIBRATION_S * rows.speed_mm_per_s
    gap_mm = (rows.zone_mm - count * pulse_mm) / (count + 1)
    return rows.box.left_mm + gap_mm + index * (pulse_mm + gap_mm)


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
