"""Where the electrodes and the lines to measure by stand in the drawings."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import Placement, Site
from couchside.web.contexts.guide.outlines import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An electrode's middle, and how far from it the middle of its label stands."""

    x: int
    y: int
    dx: int
    dy: int


def _mark(x: int, y: int, dx: int, dy: int) -> Mark:
    return Mark(x=x, y=y, dx=dx, dy=dy)


MIDLINE_X = 210
_LEVEL_Y = 228
"""Of V4, V5 and V6, and of all that is level with them."""
_BELOW = 24
"""From an electrode's middle down to that of a label below it."""


def _mirror(mark: Mark) -> Mark:
    return Mark(x=2 * MIDLINE_X - mark.x, y=mark.y, dx=-mark.dx, dy=mark.dy)


_CHEST = {
    Site.V1: _mark(190, 182, -24, 2),
    Site.V2: _mark(230, 182, 19, -15),
    Site.HIGH_V1: _mark(190, 159, -24, 2),
    Site.HIGH_V2: _mark(230, 159, 20, -15),
    Site.V3: _mark(259, 205, -12, 21),
    Site.V4: _mark(288, _LEVEL_Y, -2, _BELOW),
    Site.V5: _mark(313, _LEVEL_Y, 6, _BELOW),
    Site.V6: _mark(334, _LEVEL_Y, 25, 0),
    Site.V3R: _mark(161, 205, 18, 21),
    Site.V4R: _mark(132, _LEVEL_Y, 10, _BELOW),
    Site.V5R: _mark(107, _LEVEL_Y, -11, _BELOW),
    Site.V6R: _mark(86, _LEVEL_Y, -30, 0),
}
_LEFT_COLLARBONE = _mark(312, 117, 0, _BELOW)
_LEFT_FLANK = _mark(307, 364, 30, 0)

MARKS: dict[View, dict[Site, Mark]] = {
    View.FIGURE: {
        Site.RIGHT_WRIST: _mark(20, 198, 24, 4),
        Site.LEFT_WRIST: _mark(160, 198, -24, 4),
        Site.LEFT_ANKLE: _mark(117, 372, 26, 0),
        Site.RIGHT_ANKLE: _mark(63, 372, -26, 0),
    },
    View.FRONT: _CHEST,
    View.TRUNK: {
        **_CHEST,
        Site.LEFT_COLLARBONE: _LEFT_COLLARBONE,
        Site.RIGHT_COLLARBONE: _mirror(_LEFT_COLLARBONE),
        Site.LEFT_FLANK: _LEFT_FLANK,
        Site.RIGHT_FLANK: _mirror(_LEFT_FLANK),
    },
    View.SIDE: {
        Site.V4: _mark(90, _LEVEL_Y, -4, _BELOW),
        Site.V5: _mark(124, _LEVEL_Y, 0, _BELOW),
        Site.V6: _mark(154, _LEVEL_Y, 0, _BELOW),
        Site.V7: _mark(186, _LEVEL_Y, 2, _BELOW),
    },
    View.BACK: {
        Site.V7: _mark(96, _LEVEL_Y, -2, _BELOW),
        Site.V8: _mark(152, _LEVEL_Y, 0, _BELOW),
        Site.V9: _mark(190, _LEVEL_Y, -2, _BELOW),
    },
}

_LEFT_GAUGES = ("M 288 98 V 212", "M 313 134 V 212", "M 276 228 H 350")
_RIGHT_GAUGES = ("M 132 98 V 212", "M 107 134 V 212", "M 144 228 H 70")
_SIDE_GAUGES = ("M 124 166 V 212", "M 154 168 V 212", "M 186 166 V 212", "M 76 228 H 214")

GAUGES: dict[tuple[Placement, View], tuple[str, ...]] = {
    (Placement.STANDARD, View.FRONT): _LEFT_GAUGES,
    (Placement.STANDARD, View.SIDE): _SIDE_GAUGES[:2] + _SIDE_GAUGES[3:],
    (Placement.RIGHT_SIDED, View.FRONT): _RIGHT_GAUGES,
    (Placement.POSTERIOR, View.SIDE): _SIDE_GAUGES[2:],
    (Placement.POSTERIOR, View.BACK): ("M 152 204 V 214", "M 80 228 H 210"),
    (Placement.PAEDIATRIC, View.FRONT): (*_LEFT_GAUGES, _RIGHT_GAUGES[0]),
    (Placement.TORSO, View.TRUNK): (*_LEFT_GAUGES, "M 313 262 V 410"),
    (Placement.TORSO, View.SIDE): _SIDE_GAUGES[:2] + _SIDE_GAUGES[3:],
    (Placement.HIGH, View.FRONT): _LEFT_GAUGES,
}
"""From the middle of the collarbone and the folds of the armpit down, and the level of V4."""

VIEWS: dict[Placement, tuple[View, ...]] = {
    Placement.STANDARD: (View.FIGURE, View.FRONT, View.SIDE),
    Placement.RIGHT_SIDED: (View.FIGURE, View.FRONT),
    Placement.POSTERIOR: (View.BACK, View.SIDE, View.FRONT),
    Placement.PAEDIATRIC: (View.FIGURE, View.FRONT),
    Placement.TORSO: (View.TRUNK, View.SIDE),
    Placement.HIGH: (View.FIGURE, View.FRONT),
}

IN_ADDITION: dict[Placement, tuple[Site, ...]] = {Placement.PAEDIATRIC: (Site.V3,)}
"""Sites that a second recording uses, drawn as open rings."""
