"""The inks of a page: every colour and line width in one place.

Colours are chosen so that the page reads the same in grey: the grid is light, the trace near
black, and nothing is said by colour alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Ink(StrEnum):
    """What a mark is drawn with, by its purpose."""

    GRID_FINE = "grid-fine"
    GRID_COARSE = "grid-coarse"
    FRAME = "frame"
    TRACE = "trace"
    EARLIER = "earlier"
    CALIBRATION = "calibration"
    TICK = "tick"
    LEAVING = "leaving"
    PLATE = "plate"
    SPAN = "span"
    SPAN_EDGE = "span-edge"
    TEXT = "text"
    QUIET_TEXT = "quiet-text"
    RULE = "rule"
    BANNER = "banner"
    BANNER_TEXT = "banner-text"
    SHAPE = "shape"
    SHAPE_FILLED = "shape-filled"
    SHAPE_ON_FILL = "shape-on-fill"


Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How an ink looks: colours in 8-bit red, green and blue; None is not drawn.

    `dash_mm` is how long strokes and the gaps between them are; None is one whole line.
    """

    stroke: Colour | None = None
    width_mm: float = 0.0
    dash_mm: tuple[float, float] | None = None
    fill: Colour | None = None


_NEAR_BLACK: Colour = (20, 24, 29)
_SLATE: Colour = (74, 86, 98)
_MIST: Colour = (150, 163, 175)
_WHITE: Colour = (255, 255, 255)

LOOKS: dict[Ink, Look] = {
    Ink.GRID_FINE: Look(stroke=(221, 227, 231), width_mm=0.09),
    Ink.GRID_COARSE: Look(stroke=(184, 195, 204), width_mm=0.14),
    Ink.FRAME: Look(stroke=_MIST, width_mm=0.2),
    Ink.TRACE: Look(stroke=_NEAR_BLACK, width_mm=0.27),
    Ink.EARLIER: Look(stroke=(96, 74, 120), width_mm=0.3, dash_mm=(1.0, 0.8)),
    Ink.CALIBRATION: Look(stroke=(45, 52, 60), width_mm=0.25),
    Ink.TICK: Look(stroke=_SLATE, width_mm=0.22),
    Ink.LEAVING: Look(fill=_NEAR_BLACK),
    Ink.PLATE: Look(fill=_WHITE),
    Ink.SPAN: Look(fill=(240, 233, 216)),
    Ink.SPAN_EDGE: Look(stroke=(122, 101, 58), width_mm=0.35),
    Ink.TEXT: Look(fill=_NEAR_BLACK),
    Ink.QUIET_TEXT: Look(fill=_SLATE),
    Ink.RULE: Look(stroke=_MIST, width_mm=0.18),
    Ink.BANNER: Look(fill=(38, 44, 52)),
    Ink.BANNER_TEXT: Look(fill=_WHITE),
    Ink.SHAPE: Look(stroke=_NEAR_BLACK, width_mm=0.6),
    Ink.SHAPE_FILLED: Look(fill=_NEAR_BLACK),
    Ink.SHAPE_ON_FILL: Look(stroke=_WHITE, width_mm=0.8),
}
