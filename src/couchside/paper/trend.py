"""One measure of a person against the date: a line through marks, each with its half-width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Drawing, Layer, Mark, Polyline, Segments, Text
from couchside.paper.page import Page

_PLOT = Box(left_mm=11.0, top_mm=7.0, width_mm=70.0, height_mm=28.0)
_WIDTH_MM, _HEIGHT_MM = 86.0, 41.0
_INSET_MM = 3.0
_MARK_MM = 0.9
_SIZE_MM = 2.6
_WANTED_LINES = 4
_STEPS = (1.0, 2.0, 5.0)
_LEAST_SPAN = 20.0
"""In the measure's unit: a change of a few milliseconds must not look like a cliff."""

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendPoint:
    """A value at a moment; `half_width` is None where it is not known.

    `is_kept` is False for a recording that nobody has decided to keep: its mark is hollow and no
    line runs through it.
    """

    at: datetime
    value: float
    half_width: float | None
    is_kept: bool = True


def draw_trend(points: Sequence[TrendPoint], *, name: str, unit: str) -> Page:
    """Draw a measure over time.

    Parameters
    ----------
    points : sequence of TrendPoint
        In any order; at least one. All moments have a zone.
    name, unit : str
        What the measure is called, and the unit of its values.

    Returns
    -------
    Page
        Dates run evenly from left to right. The upright line through a mark is its half-width.

    Raises
    ------
    InvalidInput
        If there is no point.
    """
    if not points:
        raise InvalidInput(f"{name} was measured in no recording; there is nothing to draw")
    ordered = sorted(points, key=lambda point: point.at)
    scale = _choose_scale(ordered)
    across = [scale.x_mm(point.at) for point in ordered]
    up = [scale.y_mm(point.value) for point in ordered]
    kept = [(x, y) for x, y, point in zip(across, up, ordered, strict=True) if point.is_kept]
    line: tuple[Mark, ...] = (
        (Polyline(points_mm=np.array(kept), ink=Ink.CALIBRATION, name=name),)
        if len(kept) > 1
        else ()
    )
    marks = tuple(
        _mark(x, y, is_filled=point.is_kept)
        for x, y, point in zip(across, up, ordered, strict=True)
    )
    return Page(
        drawing=Drawing(
            width_mm=_WIDTH_MM,
            height_mm=_HEIGHT_MM,
            title=f"{name} over time",
            description=f"{name} in {unit} of {len(ordered)} recordings against their dates",
            layers=(
                Layer(name="scale", marks=_draw_scale(scale, name=name, unit=unit)),
                Layer(name="trend", marks=(*_half_widths(ordered, across, scale), *line, *marks)),
            ),
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Dates to the right, values upwards; `lines` are where a value is written."""

    first: datetime
    last: datetime
    lines: tuple[float, ...]

    def x_mm(self, at: datetime) -> float:
        """Where a moment stands; a single one in the middle."""
        span_s = (self.last - self.first).total_seconds()
        share = (at - self.first).total_seconds() / span_s if span_s > 0 else 0.5
        return _PLOT.left_mm + _INSET_MM + share * (_PLOT.width_mm - 2 * _INSET_MM)

    def y_mm(self, value: float) -> float:
        """Where a value stands."""
        low, high = self.lines[0], self.lines[-1]
        return _PLOT.bottom_mm - (value - low) / (high - low) * _PLOT.height_mm


def _choose_scale(ordered: Sequence[TrendPoint]) -> _Scale:
    """Round values that enclose every mark with its half-width."""
    low = min(point.value - (point.half_width or 0.0) for point in ordered)
    high = max(point.value + (point.half_width or 0.0) for point in ordered)
    lack = max(0.0, _LEAST_SPAN - (high - low)) / 2
    low, high = low - lack, high + lack
    step = _choose_step((high - low) / _WANTED_LINES)
    first, last = math.floor(low / step), math.ceil(high / step)
    return _Scale(
        first=ordered[0].at,
        last=ordered[-1].at,
        lines=tuple(step * number for number in range(first, last + 1)),
    )


def _choose_step(least: float) -> float:
    """The smallest of 1, 2 and 5 times a power of ten that is not below `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next((power * step for step in _STEPS if power * step >= least), power * 10.0)


def _draw_scale(scale: _Scale, *, name: str, unit: str) -> tuple[Mark, ...]:
    levels = np.array(
        [
            [[_PLOT.left_mm, scale.y_mm(value)], [_PLOT.right_mm, scale.y_mm(value)]]
            for value in scale.lines
        ]
    )
    title = Text(
        x_mm=1.0, y_mm=4.0, content=f"{name}, {unit}", size_mm=3.0, bold=True, ink=Ink.TEXT
    )
    values = [
        Text(
            x_mm=_PLOT.left_mm - 1.5,
            y_mm=scale.y_mm(value) + 0.9,
            content=f"{value:g}".replace("-", "\N{MINUS SIGN}"),
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=Anchor.END,
        )
        for value in scale.lines
    ]
    return (Segments(points_mm=levels, ink=Ink.RULE), title, *values, *_write_dates(scale))


def _write_dates(scale: _Scale) -> tuple[Mark, ...]:
    """The first and the last day, as nobody can misread them."""
    y_mm = _PLOT.bottom_mm + 4.0
    ends = [(_PLOT.left_mm, Anchor.START, scale.first)]
    if scale.last.date() != scale.first.date():
        ends.append((_PLOT.right_mm, Anchor.END, scale.last))
    return tuple(
        Text(
            x_mm=x_mm,
            y_mm=y_mm,
            content=at.date().isoformat(),
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=anchor,
        )
        for x_mm, anchor, at in ends
    )


def _half_widths(
    ordered: Sequence[TrendPoint], across: Sequence[float], scale: _Scale
) -> tuple[Mark, ...]:
    lines = [
        [
            [x, scale.y_mm(point.value - point.half_width)],
            [x, scale.y_mm(point.value + point.half_width)],
        ]
        for point, x in zip(ordered, across, strict=True)
        if point.half_width
    ]
    return (Segments(points_mm=np.array(lines), ink=Ink.TICK),) if lines else ()


def _mark(x_mm: float, y_mm: float, *, is_filled: bool) -> Polyline:
    """A disc; hollow where the recording was not kept."""
    angles = np.linspace(0.0, 2.0 * np.pi, 25)
    points: FloatArray = np.stack(
        [x_mm + _MARK_MM * np.cos(angles), y_mm + _MARK_MM * np.sin(angles)], axis=1
    )
    return Polyline(points_mm=points, ink=Ink.SHAPE_FILLED if is_filled else Ink.TICK)
