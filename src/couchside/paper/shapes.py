"""The shapes that stand beside the verdict's word, so that it never rests on colour.

keep: a ring with a stroke that settles in it. keep with remark: an open square with two written
lines. record again: a filled disc around which an arrow turns back. not checked: a broken ring.
"""

from __future__ import annotations

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.model import Mark, PointArray, Polyline, Segments
from couchside.quality.model import Verdict

_ARC_POINTS = 49


def draw_verdict_shape(
    verdict: Verdict | None, x_mm: float, y_mm: float, radius_mm: float
) -> tuple[Mark, ...]:
    """The shape of a verdict around a centre; None is "not checked"."""
    marks = _UNIT_SHAPES[verdict]
    centre = np.array([x_mm, y_mm])
    return tuple(_placed(mark, centre, radius_mm) for mark in marks)


def _placed(mark: Polyline | Segments, centre: PointArray, radius_mm: float) -> Mark:
    points = centre + mark.points_mm * radius_mm
    if isinstance(mark, Segments):
        return Segments(points_mm=points, ink=mark.ink)
    return Polyline(points_mm=points, ink=mark.ink)


def _arc(start_deg: float, end_deg: float, radius: float = 1.0) -> PointArray:
    angles = np.radians(np.linspace(start_deg, end_deg, _ARC_POINTS))
    return radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def _line(points: list[list[float]], ink: Ink) -> Polyline:
    return Polyline(points_mm=np.array(points), ink=ink)


def _ring_of_dashes() -> Segments:
    angles = np.radians(np.arange(0, 360, 30))
    ends = np.stack([angles, angles + np.radians(15)], axis=1)
    return Segments(points_mm=np.stack([np.cos(ends), np.sin(ends)], axis=2), ink=Ink.SHAPE)


_KEEP = (
    Polyline(points_mm=_arc(0, 360), ink=Ink.SHAPE),
    _line([[-0.45, 0.02], [-0.1, 0.4], [0.5, -0.4]], Ink.SHAPE),
)
_KEEP_WITH_REMARK = (
    _line([[-0.9, -0.9], [0.9, -0.9], [0.9, 0.9], [-0.9, 0.9], [-0.9, -0.9]], Ink.SHAPE),
    _line([[-0.45, -0.25], [0.45, -0.25]], Ink.SHAPE),
    _line([[-0.45, 0.25], [0.1, 0.25]], Ink.SHAPE),
)
_RECORD_AGAIN = (
    Polyline(points_mm=_arc(0, 360, 1.05), ink=Ink.SHAPE_FILLED),
    Polyline(points_mm=_arc(-30, 240, 0.52), ink=Ink.SHAPE_ON_FILL),
    _line([[-0.62, -0.62], [-0.26, -0.45], [-0.36, -0.06]], Ink.SHAPE_ON_FILL),
)

_UNIT_SHAPES: dict[Verdict | None, tuple[Polyline | Segments, ...]] = {
    Verdict.KEEP: _KEEP,
    Verdict.KEEP_WITH_REMARK: _KEEP_WITH_REMARK,
    Verdict.RECORD_AGAIN: _RECORD_AGAIN,
    None: (_ring_of_dashes(),),
}
