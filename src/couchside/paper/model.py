"""What stands on a page: marks in millimetres, gathered in layers, drawn in order.

The origin is the page's upper left corner; x runs right, y runs down. A text's y is its baseline.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from couchside.paper.inks import Ink

PointArray = NDArray[np.float64]


class Anchor(StrEnum):
    """Which part of a text stands at its x."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle on the page."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """Its right edge."""
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Its lower edge."""
        return self.top_mm + self.height_mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segments:
    """Many straight lines of one ink that do not touch, such as a grid.

    Parameters
    ----------
    points_mm : array of shape (line, 2, 2)
        Start and end of each line, each as x and y.
    ink : Ink
        What they are drawn with.
    """

    points_mm: PointArray
    ink: Ink

    def __post_init__(self) -> None:
        object.__setattr__(self, "points_mm", _frozen(self.points_mm))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Polyline:
    """A line through points, such as a trace.

    Parameters
    ----------
    points_mm : array of shape (point, 2)
        x and y of each point; at least two.
    ink : Ink
        What it is drawn with; an ink with a fill fills it.
    name : str
        What it shows, such as a lead; empty where it has no name.
    """

    points_mm: PointArray
    ink: Ink
    name: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "points_mm", _frozen(self.points_mm))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """A box that is drawn."""

    box: Box
    ink: Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text; control characters become spaces, accents are composed.

    Parameters
    ----------
    x_mm, y_mm : float
        Where its anchor stands on its baseline.
    content : str
        The text.
    size_mm : float
        Size of the type.
    ink : Ink
        What it is written with.
    bold : bool
        Whether the bold face is used.
    anchor : Anchor
        Which part of it stands at `x_mm`.
    """

    x_mm: float
    y_mm: float
    content: str
    size_mm: float
    ink: Ink = Ink.TEXT
    bold: bool = False
    anchor: Anchor = Anchor.START

    def __post_init__(self) -> None:
        object.__setattr__(self, "content", printable(self.content))


Mark: TypeAlias = Segments | Polyline | Rectangle | Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Marks that belong together.

    Parameters
    ----------
    name : str
        What they are, such as ``"grid"``.
    marks : tuple of Mark
        Drawn in this order.
    clip : Box or None
        Nothing of the layer shows outside it; coordinates stay true.
    """

    name: str
    marks: tuple[Mark, ...]
    clip: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A whole page before it becomes PDF or SVG.

    Parameters
    ----------
    width_mm, height_mm : float
        Size of the page.
    title : str
        For the file's metadata; never names the patient.
    description : str
        What the page shows, for people who do not see it; never names the patient.
    layers : tuple of Layer
        Drawn in this order.
    """

    width_mm: float
    height_mm: float
    title: str
    description: str
    layers: tuple[Layer, ...]


def printable(text: str) -> str:
    """The text in composed form, with a space for every run of control characters and spaces."""
    composed = unicodedata.normalize("NFC", text)
    kept = ("\ufffd" if _is_lone_surrogate(mark) else mark for mark in composed)
    visible = (" " if unicodedata.category(mark) in {"Cc", "Zl", "Zp"} else mark for mark in kept)
    return " ".join("".join(visible).split())


def _is_lone_surrogate(mark: str) -> bool:
    return unicodedata.category(mark) == "Cs"


def _frozen(points: PointArray) -> PointArray:
    copied = np.array(points, dtype=np.float64, copy=True)
    copied.setflags(write=False)
    return copied
