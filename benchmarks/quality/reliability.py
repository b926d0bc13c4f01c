"""Draws how often something was right over how sure it was said to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import matplotlib as mpl
from PIL import Image

from benchmarks.quality.tables import find_bounds

if TYPE_CHECKING:
    from matplotlib.axes import Axes

mpl.use("Agg")

import matplotlib.pyplot as plt

SIDE_INCHES = 4.2
PIXELS_PER_INCH = 110
LOWEST = 0.4
INK = "#1d3a5f"
COLOURS = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """The mean of what was said in one class, and how many of how many were right."""

    said: float
    right: int
    total: int


def draw_reliability(bins: Sequence[Bin]) -> bytes:
    """A PNG: shares with their 95 % intervals over what was said; the diagonal is calibrated."""
    figure = plt.figure(figsize=(SIDE_INCHES, SIDE_INCHES))
    axes = figure.add_axes((0.14, 0.13, 0.82, 0.83))
    axes.plot([LOWEST, 1.0], [LOWEST, 1.0], color="grey", lw=1.0, ls="--")
    for each in bins:
        _mark(axes, each)
    axes.set_xlim(LOWEST, 1.02)
    axes.set_ylim(0.0, 1.02)
    axes.set_xlabel("confidence said")
    axes.set_ylabel("electrode right")
    drawn = BytesIO()
    figure.savefig(drawn, dpi=PIXELS_PER_INCH, format="png")
    plt.close(figure)
    return _shrink(drawn)


def _mark(axes: Axes, each: Bin) -> None:
    low, high = find_bounds(each.right, each.total)
    axes.plot([each.said, each.said], [low, high], color=INK, lw=1.5)
    axes.plot(each.said, each.right / each.total, marker="D", color=INK, ms=6)
    axes.text(each.said - 0.015, low - 0.01, f"{each.total}", ha="right", va="top", fontsize=8)


def _shrink(drawn: BytesIO) -> bytes:
    few = Image.open(drawn).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    out = BytesIO()
    few.save(out, format="png", optimize=True)
    return out.getvalue()
