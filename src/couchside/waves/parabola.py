"""The top of a curve between its samples."""

from __future__ import annotations

import numpy as np

from couchside.waves.clip import clip
from couchside.waves.model import FloatArray, IntArray


def refine_top(rows: FloatArray, best: IntArray) -> FloatArray:
    """Where the parabola through each row's highest value and its neighbours has its top.

    Parameters
    ----------
    rows : array of shape (row, sample)
        At least three samples each.
    best : integer array of shape (row,)
        Sample of the highest value.

    Returns
    -------
    array of shape (row,)
        Samples, with fractions; `best` itself at either end of a row.
    """
    inner = clip(best, 1, rows.shape[1] - 2)
    places = inner[:, None] + np.array([-1, 0, 1])
    before, at, after = rows[np.arange(rows.shape[0])[:, None], places].T
    curve = before - 2.0 * at + after
    shift = 0.5 * (before - after) / np.where(curve < 0, curve, -np.inf)
    refined: FloatArray = inner + clip(shift, -0.5, 0.5)
    return np.where(best == inner, refined, best)
