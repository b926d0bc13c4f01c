"""Where the leads' names stand: near the beginning of their strips, where no trace runs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from couchside.paper.layouts import Strip
from couchside.paper.model import Text
from couchside.paper.rows import Rows
from couchside.paper.typeface import width_mm

LABEL_SIZE_MM = 3.1

_FARTHEST_MM = 24.0
_STEP_MM = 0.8
_LOWER_RISES_MM = (1.0, 2.0, 3.0)
_CAPITALS = 0.76
_MARGIN_MM = 0.4
_STRAY_COST = 0.02
"""So that a label leaves its usual place only for one that is clearer."""

FloatArray = NDArray[np.float64]


def place_labels(
    strips: Sequence[Strip], points_mm: Sequence[FloatArray], rows: Rows
) -> list[Text]:
    """A label for every strip.

    Parameters
    ----------
    strips : sequence of Strip
        What stands where.
    points_mm : sequence of array of shape (sample, 2)
        Where each strip's samples stand; empty where there are none.
    rows : Rows
        The geometry of the plot; without `labels_seek_quiet` every label has its usual place.

    Returns
    -------
    list of Text
        In the order of the strips. The labels of one column that show the same seconds stand under
        one another, as far to the right as it takes to find a stretch between beats; leads recorded
        together are quiet together.
    """
    if not rows.labels_seek_quiet:
        return [_label(strip, rows, rows.label_shift_mm, rows.label_rise_mm) for strip in strips]
    labels: dict[int, Text] = {}
    for place in {(strip.column, strip.start_s) for strip in strips}:
        members = [
            index for index, strip in enumerate(strips) if (strip.column, strip.start_s) == place
        ]
        segments = _list_segments(points_mm, rows.left_mm(strips[members[0]]))
        placed = _place_column([strips[index] for index in members], segments, rows)
        labels |= dict(zip(members, placed, strict=True))
    return [labels[index] for index in range(len(strips))]


def _place_column(strips: list[Strip], segments: FloatArray, rows: Rows) -> list[Text]:
    """The labels of a column at the shift where they meet the fewest traces."""
    widest = max(width_mm(strip.label, LABEL_SIZE_MM, bold=True) for strip in strips)
    farthest = max(min(_FARTHEST_MM, rows.column_mm - widest - 1.0), rows.label_shift_mm + 0.1)
    best: tuple[float, list[Text]] = (np.inf, [])
    for order, shift in enumerate(np.arange(rows.label_shift_mm, farthest, _STEP_MM)):
        chosen = [_choose_rise(strip, float(shift), segments, rows) for strip in strips]
        cost = sum(each for each, _ in chosen) + order * _STRAY_COST
        if cost < best[0]:
            best = (cost, [text for _, text in chosen])
    return best[1]


def _choose_rise(
    strip: Strip, shift_mm: float, segments: FloatArray, rows: Rows
) -> tuple[float, Text]:
    """How many pieces of trace a label at that shift meets at its best height, and the label."""
    best: tuple[float, Text] | None = None
    for order, rise in enumerate((rows.label_rise_mm, *_LOWER_RISES_MM)):
        text = _label(strip, rows, shift_mm, rise)
        cost = _count_met(text, segments, rows) + order * _STRAY_COST
        if best is None or cost < best[0]:
            best = (cost, text)
        if best[0] == 0:
            break
    return best or (0.0, _label(strip, rows, shift_mm, rows.label_rise_mm))


def _count_met(text: Text, segments: FloatArray, rows: Rows) -> float:
    """Pieces of trace that touch the label's box; a box that leaves the plot meets everything."""
    top = text.y_mm - LABEL_SIZE_MM * _CAPITALS - _MARGIN_MM
    if top < rows.box.top_mm:
        return float(len(segments) + 1)
    right = text.x_mm + width_mm(text.content, LABEL_SIZE_MM, bold=True) + _MARGIN_MM
    left, bottom = text.x_mm - _MARGIN_MM, text.y_mm + _MARGIN_MM
    is_met = (
        (segments[:, 2] >= left)
        & (segments[:, 0] <= right)
        & (segments[:, 3] >= top)
        & (segments[:, 1] <= bottom)
    )
    return float(np.count_nonzero(is_met))


def _list_segments(points_mm: Sequence[FloatArray], left_mm: float) -> FloatArray:
    """Left, top, right and bottom of each piece of trace where labels of a column may stand."""
    pieces = [np.empty((0, 4))]
    for points in points_mm:
        if len(points) < 2:
            continue
        ends = np.stack([points[:-1], points[1:]])
        low, high = ends.min(axis=0), ends.max(axis=0)
        pieces.append(np.column_stack([low, high]))
    whole = np.concatenate(pieces)
    is_near = (whole[:, 2] >= left_mm) & (whole[:, 0] <= left_mm + _FARTHEST_MM + 12.0)
    return whole[is_near & np.isfinite(whole).all(axis=1)]


def _label(strip: Strip, rows: Rows, shift_mm: float, rise_mm: float) -> Text:
    return Text(
        x_mm=rows.left_mm(strip) + shift_mm,
        y_mm=rows.baseline_mm(strip) - rise_mm,
        content=strip.label,
        size_mm=LABEL_SIZE_MM,
        bold=True,
    )
