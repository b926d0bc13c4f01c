"""Beats laid upon each other and sorted sample by sample, for medians and trimmed means."""

from __future__ import annotations

from functools import cache

import numpy as np

from couchside.waves.model import FloatArray

_MOST_IN_NETWORK = 24
"""From here on sorting each sample's few values by itself is as quick."""


def sort_beats(windows: FloatArray) -> list[FloatArray]:
    """The least value of all beats at every sample, the next, and so on to the largest.

    Parameters
    ----------
    windows : array of shape (lead, beat, sample)
        Without NaN.

    Returns
    -------
    list of array of shape (lead, sample)
        One for each beat.

    Notes
    -----
    A sorting network [Batcher1968]: each of its comparisons is made for all samples at once, which
    takes half as long as to sort the dozen values of every sample for themselves.
    """
    count = windows.shape[1]
    if count > _MOST_IN_NETWORK:
        return list(np.sort(windows, axis=1).transpose(1, 0, 2))
    planes = list(np.ascontiguousarray(windows.transpose(1, 0, 2)))
    spare = np.empty_like(planes[0])
    for low, high in _find_comparisons(count):
        np.minimum(planes[low], planes[high], out=spare)
        np.maximum(planes[low], planes[high], out=planes[high])
        planes[low], spare = spare, planes[low]
    return planes


def middle_of_sorted(planes: list[FloatArray]) -> FloatArray:
    """Median over the beats, from what `sort_beats` gives."""
    count = len(planes)
    middle: FloatArray = 0.5 * (planes[(count - 1) // 2] + planes[count // 2])
    return middle


def mean_of_planes(planes: list[FloatArray]) -> FloatArray:
    """Mean over some of the beats, shape (lead, sample)."""
    total = planes[0].copy()
    for plane in planes[1:]:
        total += plane
    total /= len(planes)
    return total


@cache
def _find_comparisons(count: int) -> tuple[tuple[int, int], ...]:
    """Which two places are compared one after the other: merge exchange [Batcher1968]."""
    pairs: list[tuple[int, int]] = []
    highest = 1 << max((count - 1).bit_length() - 1, 0)
    reach = highest
    while reach > 0:
        step, offset, apart = highest, 0, reach
        while True:
            pairs += [
                (place, place + apart) for place in range(count - apart) if place & reach == offset
            ]
            if step == reach:
                break
            apart, step, offset = step - reach, step >> 1, reach
        reach >>= 1
    return tuple(pairs)
