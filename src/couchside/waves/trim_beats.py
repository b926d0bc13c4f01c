"""Beats laid upon each other, and their extremes left out sample by sample."""

from __future__ import annotations

from functools import cache

import numpy as np

from couchside.waves.model import FloatArray

_MOST_IN_NETWORK = 24
"""From here on sorting each sample's few values by itself is as quick."""

_LEFT_OUT, _LEAST, _BETWEEN, _LARGEST = -1, -2, -3, -4
"""What a place in the order is good for; those of one kind need not be told apart."""


def trim_beats(windows: list[FloatArray], cut: int) -> list[FloatArray]:
    """What is left at every sample without so many of the least and of the largest values.

    Parameters
    ----------
    windows : list of array of shape (lead, sample)
        One for each beat, without NaN.
    cut : int
        Fewer than half of the beats.

    Returns
    -------
    list of array of shape (lead, sample)
        The least first and the largest last; between them in any order.
    """
    kept = len(windows) - 2 * cut
    if not cut:
        return windows
    inner = (_LEAST, *(_BETWEEN,) * (kept - 2), _LARGEST)[:kept]
    outer = (_LEFT_OUT,) * cut
    return _sort(windows, (*outer, *inner, *outer))[cut : cut + kept]


def trimmed_mean(windows: list[FloatArray], cut: int) -> FloatArray:
    """Their mean, shape (lead, sample), in less time: only what is left out is told apart."""
    if not cut:
        return mean_of_planes(windows)
    kept, outer = len(windows) - 2 * cut, (_LEFT_OUT,) * cut
    return mean_of_planes(_sort(windows, (*outer, *(_BETWEEN,) * kept, *outer))[cut : cut + kept])


def median_of_beats(windows: list[FloatArray]) -> FloatArray:
    """Median over the beats, shape (lead, sample)."""
    return trimmed_mean(windows, (len(windows) - 1) // 2)


def mean_of_planes(planes: list[FloatArray]) -> FloatArray:
    """Mean over some of the beats, shape (lead, sample)."""
    total = planes[0].copy()
    for plane in planes[1:]:
        total += plane
    total /= len(planes)
    return total


def _sort(windows: list[FloatArray], wanted: tuple[int, ...]) -> list[FloatArray]:
    """Beats in order, as far as what is wanted of each place asks for.

    A sorting network [Batcher1968]: each of its comparisons is made for all samples at once, which
    takes half as long as to sort the dozen values of every sample for themselves.
    """
    if len(windows) > _MOST_IN_NETWORK:
        return list(np.sort(np.stack(windows), axis=0))
    planes = list(np.stack(windows))
    spare = np.empty_like(planes[0])
    for low, high in _find_needed(wanted):
        np.minimum(planes[low], planes[high], out=spare)
        np.maximum(planes[low], planes[high], out=planes[high])
        planes[low], spare = spare, planes[low]
    return planes


@cache
def _find_needed(wanted: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    """Those comparisons of the network that tell apart what is not wanted for the same.

    Backwards from the order that is wanted: a comparison of two places that are good for the same
    is left out, and what any other compares has to stand where it is.
    """
    kinds, needed = list(wanted), []
    for number, (low, high) in enumerate(reversed(_find_comparisons(len(kinds)))):
        if kinds[low] != kinds[high]:
            needed.append((low, high))
            kinds[low], kinds[high] = len(kinds) + 2 * number, len(kinds) + 2 * number + 1
    return tuple(reversed(needed))


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
