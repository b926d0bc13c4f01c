"""Medians of long rows, without the checks that make NumPy's own several times slower."""

from __future__ import annotations

import numpy as np

from couchside.waves.model import FloatArray


def median_of_rows(values: FloatArray) -> FloatArray:
    """Median along the last axis of values without NaN.

    Parameters
    ----------
    values : array of shape (…, sample)
        At least one sample.

    Returns
    -------
    array of shape (…,)

    Notes
    -----
    One partition puts the upper middle value in its place; of an even number of values the lower
    middle one is the largest of those before it.
    """
    half = values.shape[-1] // 2
    ordered = np.partition(values, half, axis=-1)
    upper: FloatArray = ordered[..., half]
    if values.shape[-1] % 2:
        return upper
    lower: FloatArray = ordered[..., :half].max(axis=-1)
    return 0.5 * (lower + upper)
