"""The millimetre grid."""

from __future__ import annotations

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.model import Box, Layer, PointArray, Rectangle, Segments

COARSE_MM = 5


def make_grid(box: Box) -> Layer:
    """Lines every millimetre and every fifth one heavier, counted from the upper left corner.

    Parameters
    ----------
    box : Box
        Its width and height are whole multiples of 5 mm.

    Returns
    -------
    Layer
        Fine lines (each a line that is not also a coarse one), coarse lines, frame.
    """
    across = np.arange(int(box.width_mm) + 1, dtype=np.float64)
    down = np.arange(int(box.height_mm) + 1, dtype=np.float64)
    fine = _lines(box, across[across % COARSE_MM != 0], down[down % COARSE_MM != 0])
    coarse = _lines(box, across[::COARSE_MM], down[::COARSE_MM])
    return Layer(
        name="grid",
        marks=(
            Segments(points_mm=fine, ink=Ink.GRID_FINE),
            Segments(points_mm=coarse, ink=Ink.GRID_COARSE),
            Rectangle(box=box, ink=Ink.FRAME),
        ),
    )


def _lines(box: Box, across: PointArray, down: PointArray) -> PointArray:
    upright = np.empty((across.size, 2, 2))
    upright[:, :, 0] = (box.left_mm + across)[:, np.newaxis]
    upright[:, :, 1] = (box.top_mm, box.bottom_mm)
    level = np.empty((down.size, 2, 2))
    level[:, :, 0] = (box.left_mm, box.right_mm)
    level[:, :, 1] = (box.top_mm + down)[:, np.newaxis]
    return np.concatenate([upright, level])
