"""Largest value and mean of a window that slides along rows, in a few passes over whole arrays."""

from __future__ import annotations

import numpy as np

from couchside.waves.model import FloatArray


def sliding_maximum(values: FloatArray, before: int, after: int) -> FloatArray:
    """Largest value from so many samples before each to so many after.

    Parameters
    ----------
    values : array of shape (…, sample)
        Without NaN.
    before, after : int
        Samples, not negative; at the ends the window is cut short.

    Returns
    -------
    array of the same shape

    Notes
    -----
    Each pass doubles what the maxima cover, so that about log2 of the width are enough.
    """
    count, width = values.shape[-1], before + after + 1
    highest = np.full((*values.shape[:-1], count + width - 1), -np.inf)
    highest[..., before : before + count] = values
    covered = 1
    while covered < width:
        step = min(covered, width - covered)
        highest = np.maximum(highest[..., :-step], highest[..., step:])
        covered += step
    return highest


def sliding_mean(values: FloatArray, width: int) -> FloatArray:
    """Mean of a window around each sample, ends repeated.

    Parameters
    ----------
    values : array of shape (…, sample)
        Without NaN.
    width : int
        Samples, at least 1; a window of even width reaches one sample less to the right.

    Returns
    -------
    array of the same shape

    Notes
    -----
    Sums of 1, 2, 4, … neighbours are made of one another, and those are added that make up the
    width: about 2 log2 of it passes, without the rounding that a running total gathers.
    """
    count, before = values.shape[-1], width // 2
    sums = np.empty((*values.shape[:-1], count + width - 1))
    sums[..., :before] = values[..., :1]
    sums[..., before : before + count] = values
    sums[..., before + count :] = values[..., -1:]
    mean = np.zeros_like(values)
    covered, start = 1, 0
    while True:
        if width & covered:
            mean += sums[..., start : start + count]
            start += covered
        if start == width:
            break
        sums = sums[..., :-covered] + sums[..., covered:]
        covered *= 2
    mean /= width
    return mean


def slide(rows: FloatArray, lags: int) -> FloatArray:
    """Each row moved by 0, 1, … samples, 0 where it is not: one product with this correlates.

    Parameters
    ----------
    rows : array of shape (row, sample)
        What is moved.
    lags : int
        How many moves.

    Returns
    -------
    array of shape (row, sample + lags - 1, lag)
    """
    row_count, count = rows.shape
    moved = np.zeros((row_count, count + lags - 1, lags))
    by_row, by_sample, by_lag = moved.strides
    diagonal = np.lib.stride_tricks.as_strided(
        moved, (row_count, count, lags), (by_row, by_sample, by_sample + by_lag)
    )
    diagonal[...] = rows[:, :, None]
    return moved
