"""The lines of the drawings, drawn for Couchside.

Coordinates are those of each drawing's own view box, to the right and downwards. A mirrored stroke
is drawn a second time on the other side of the midline. The front faces us, so the person's left is
at our right; the back is seen from behind; the side is the left one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class View(StrEnum):
    """From where the body is seen."""

    FIGURE = "whole body"
    FRONT = "chest"
    TRUNK = "chest and belly"
    SIDE = "left side"
    BACK = "back"


class Ink(StrEnum):
    """How a stroke is drawn; the names are those in guide.css."""

    SKIN = "skin"
    EDGE = "edge"
    BONE = "bone"
    RIB = "rib"
    SPINE = "spine"
    FOLD = "fold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One path of a drawing."""

    ink: Ink
    path: str
    is_mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """A space between the ribs, numbered so that it can be counted."""

    x: int
    y: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One drawing without its electrodes."""

    width: int
    height: int
    strokes: tuple[Stroke, ...]
    numerals: tuple[Numeral, ...] = ()


def _rib(y: int, dip: int, end_x: int, end_y: int) -> Stroke:
    """A rib from the breastbone down to below the collarbone, then up and out."""
    low = y + dip
    path = (
        f"M 224 {y} C 242 {y + 2} 262 {low - 3} 286 {low} "
        f"C 302 {low + 1} {end_x - 10} {end_y + 13} {end_x} {end_y}"
    )
    return Stroke(ink=Ink.RIB, path=path, is_mirrored=True)


def _rib_from_the_side(y: int) -> Stroke:
    """A rib from the spine down to the front."""
    path = f"M 212 {y} C 190 {y + 24} 150 {y + 44} 98 {y + 44}"
    return Stroke(ink=Ink.RIB, path=path)


_SHOULDER_AND_ARM = (
    "M 254 6 C 254 30 256 44 266 54 C 280 66 302 72 324 79 C 354 88 371 104 377 138 "
    "C 385 184 388 236 396 296 C 399 322 402 346 405 372"
)
_ARMPIT_AND_FLANK = (
    "373 372 C 366 318 354 240 335 166 C 338 214 333 258 323 304 C 317 334 316 360 324 392 "
    "C 332 420 337 446 338 480"
)
_TORSO = (
    Stroke(
        ink=Ink.SKIN,
        path=f"M 206 6 L {_SHOULDER_AND_ARM[2:]} L {_ARMPIT_AND_FLANK} L 206 480 Z",
        is_mirrored=True,
    ),
)
_TORSO_EDGE = (
    Stroke(ink=Ink.FOLD, path="M 335 166 C 333 150 327 138 316 128", is_mirrored=True),
    Stroke(ink=Ink.EDGE, path=f"{_SHOULDER_AND_ARM} M {_ARMPIT_AND_FLANK}", is_mirrored=True),
)
_CHEST = (
    *_TORSO,
    _rib(124, 10, 318, 118),
    _rib(147, 15, 324, 144),
    _rib(170, 19, 327, 172),
    _rib(193, 22, 326, 201),
    _rib(211, 30, 322, 232),
    Stroke(
        ink=Ink.BONE,
        path="M 188 90 Q 210 100 232 90 C 235 92 235 96 233 99 L 224 122 "
        "C 221 150 222 176 225 200 C 226 210 222 218 217 222 L 213 240 Q 210 246 207 240 "
        "L 203 222 C 198 218 194 210 195 200 C 198 176 199 150 196 122 L 187 99 "
        "C 185 96 185 92 188 90 Z M 196 122 H 224",
    ),
    Stroke(
        ink=Ink.BONE,
        path="M 233 88 C 250 76 272 78 296 84 C 316 88 332 84 349 90 C 352 95 350 99 346 100 "
        "C 330 95 314 99 294 95 C 272 90 252 88 238 97 Z",
        is_mirrored=True,
    ),
    Stroke(ink=Ink.FOLD, path="M 218 226 C 232 250 266 282 312 318", is_mirrored=True),
    *_TORSO_EDGE,
)
_CHEST_NUMERALS = (Numeral(x=179, y=144, text="2"), Numeral(x=179, y=167, text="3"))

_SIDE_FRONT = (
    "M 138 6 C 138 24 135 42 127 58 C 117 70 104 80 95 98 C 83 122 75 150 74 178 "
    "C 73 206 80 232 86 254 C 92 280 92 306 88 336 C 86 366 92 400 98 440 L 98 480"
)
_SIDE_BACK = (
    "190 6 C 190 24 192 38 198 52 C 210 66 225 84 231 112 C 237 142 235 172 227 204 "
    "C 217 238 204 264 202 296 C 200 326 214 350 222 380 C 228 408 226 440 222 480"
)
_SIDE_BACK_UPWARDS = (
    "222 480 C 226 440 228 408 222 380 C 214 350 200 326 202 296 C 204 264 217 238 227 204 "
    "C 235 172 237 142 231 112 C 225 84 210 66 198 52 C 192 38 190 24 190 6"
)
_FIGURE_EDGE = (
    "99 44 C 99 52 99 56 102 59 C 108 64 122 66 132 71 C 143 77 146 88 148 104 "
    "C 152 134 158 158 164 188 L 167 206 C 170 218 171 230 166 236 C 160 238 156 228 156 214 "
    "L 154 206 C 150 180 142 150 135 118 C 134 140 129 158 130 176 C 133 196 138 214 138 238 "
    "C 138 280 131 312 129 346 L 122 384 C 124 392 128 397 127 402 C 122 405 112 404 109 400 "
    "L 109 388 C 112 352 110 316 105 280 L 92 226"
)

OUTLINES: dict[View, Outline] = {
    View.FIGURE: Outline(
        width=180,
        height=410,
        strokes=(
            Stroke(ink=Ink.SKIN, path=f"M {_FIGURE_EDGE} L 86 222 L 86 44 Z", is_mirrored=True),
            Stroke(ink=Ink.EDGE, path=f"M {_FIGURE_EDGE}", is_mirrored=True),
            Stroke(
                ink=Ink.SKIN,
                path="M 90 6 C 104 6 111 16 110 28 C 109 42 99 52 90 52 C 81 52 71 42 70 28 "
                "C 69 16 76 6 90 6 Z",
            ),
            Stroke(
                ink=Ink.EDGE,
                path="M 90 6 C 104 6 111 16 110 28 C 109 42 99 52 90 52 C 81 52 71 42 70 28 "
                "C 69 16 76 6 90 6 Z",
            ),
        ),
    ),
    View.FRONT: Outline(width=420, height=340, strokes=_CHEST, numerals=_CHEST_NUMERALS),
    View.TRUNK: Outline(
        width=420,
        height=460,
        strokes=(
            *_CHEST,
            Stroke(ink=Ink.FOLD, path="M 326 404 C 314 410 304 422 300 438", is_mirrored=True),
            Stroke(ink=Ink.FOLD, path="M 210 390 C 207 395 207 399 210 404"),
        ),
        numerals=_CHEST_NUMERALS,
    ),
    View.SIDE: Outline(
        width=300,
        height=340,
        strokes=(
            Stroke(ink=Ink.SKIN, path=f"{_SIDE_FRONT} L {_SIDE_BACK_UPWARDS} Z"),
            *map(_rib_from_the_side, (124, 148, 172, 196, 220)),
            Stroke(ink=Ink.EDGE, path=f"{_SIDE_FRONT} M {_SIDE_BACK}"),
            Stroke(
                ink=Ink.SKIN,
                path="M 158 84 C 178 84 190 102 190 124 C 190 148 176 164 156 164 "
                "C 136 164 124 148 124 124 C 124 102 138 84 158 84 Z",
            ),
            Stroke(
                ink=Ink.FOLD,
                path="M 158 84 C 178 84 190 102 190 124 C 190 148 176 164 156 164 "
                "C 136 164 124 148 124 124 C 124 102 138 84 158 84 Z",
            ),
        ),
    ),
    View.BACK: Outline(
        width=420,
        height=340,
        strokes=(
            *_TORSO,
            Stroke(
                ink=Ink.BONE,
                path="M 238 124 C 246 112 262 112 276 109 L 322 98 C 331 101 331 110 323 117 "
                "C 314 130 302 152 291 178 C 286 192 277 202 270 201 C 262 199 258 188 256 174 "
                "C 252 156 244 142 238 124 Z M 240 128 L 320 108",
                is_mirrored=True,
            ),
            *(Stroke(ink=Ink.SPINE, path=f"M 206 {y} h 8") for y in range(52, 400, 17)),
            *_TORSO_EDGE,
        ),
    ),
}
