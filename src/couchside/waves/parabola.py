"""The top of a curve between its samples."""

from __future__ import annotations

import numpy as np

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
    inner = np.clip(best, 1, rows.shape[1] - 2)
    numbers = np.arange(rows.shape[0])
    before, at, after = (rows[numbers, inner + step] for step in (-1, 0, 1))
    curve = before - 2.0 * at + after
    shift = np.where(curve < 0, 0.5 * (before - after) / np.where(curve < 0, curve, -1.0), 0.0)
    refined: FloatArray = np.where(best == inner, inner + np.clip(shift, -0.5, 0.5), best)
    return refined
