"""Where a wave ends, by several yardsticks at once.

Every yardstick works on windows that run outward from the middle of a wave, so that one piece of
code serves onsets (backwards) and ends (forwards), both at once: a *side* here is a bundle seen
backwards or forwards, first all bundles backwards, then all forwards. A curve is some measure of
activity, such as the speed of the signal; its last row here is the one made of all leads together.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from couchside.waves.bounds import read_at
from couchside.waves.clip import clip
from couchside.waves.filters import BoolArray
from couchside.waves.model import FloatArray, IntArray


class Uncrossed(StrEnum):
    """Where a curve is taken to end that does not fall below a level."""

    AT_LIMIT = "at the limit"
    AT_LOWEST = "where it is lowest, as between two waves that run into one another"


def cut_outward(rows: FloatArray, starts: IntArray, count: int) -> FloatArray:
    """Windows that run backwards, and those that run forwards, from a start in each bundle.

    Parameters
    ----------
    rows : array of shape (bundle, row, sample)
        What to cut.
    starts : integer array of shape (2, bundle)
        First sample of each window, of those that run backwards and of those that run forwards.
    count : int
        Length of the windows; beyond the ends the end is repeated.

    Returns
    -------
    array of shape (side, row, count)
    """
    steps = np.arange(count)
    places = starts[:, :, None] + np.stack((-steps, steps))[:, None]
    places = clip(places, 0, rows.shape[2] - 1)
    return read_at(rows, places[:, :, None, :]).reshape(-1, rows.shape[1], count)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LastSlope:
    """The outermost slope of a wave, from which the search for its end starts.

    Parameters
    ----------
    largest : array of shape (side, row)
        Largest value of the curve within reach.
    steep : integer array of shape (side, row)
        Last sample that holds the given share of it.
    """

    largest: FloatArray
    steep: IntArray


def find_last_slope(windows: FloatArray, reach: IntArray, strong: float) -> LastSlope:
    """Where a curve holds a share of its largest value for the last time.

    Parameters
    ----------
    windows : array of shape (side, row, count)
        Curves that run outward.
    reach : integer array of shape (side,)
        The wave's last slope lies within so many samples.
    strong : float
        Share that marks the outermost slope.

    Returns
    -------
    LastSlope
    """
    inside = np.where(np.arange(windows.shape[2]) < reach[:, None, None], windows, 0.0)
    largest = inside.max(axis=2)
    return LastSlope(largest=largest, steep=find_outermost(inside, strong * largest))


def find_crossings(
    windows: FloatArray,
    slope: LastSlope,
    limit: IntArray,
    *,
    shares: tuple[float, ...],
    floor: FloatArray | float = 0.0,
    uncrossed: Uncrossed = Uncrossed.AT_LIMIT,
) -> FloatArray:
    """How far out a curve first falls below shares of its largest value.

    Parameters
    ----------
    windows : array of shape (side, row, count)
        Curves that run outward.
    slope : LastSlope
        From `find_last_slope` of the same curves.
    limit : integer array of shape (side,)
        The wave ends within so many samples.
    shares : tuple of float
        Shares of the largest value within reach.
    floor : array of shape (side, row) or float
        Level that the curve keeps where there is no wave.
    uncrossed : Uncrossed
        Where a curve ends that does not fall so low within the limit.

    Returns
    -------
    array of shape (side, row, share)
        Samples outward from the start, with fractions.
    """
    times = np.arange(windows.shape[2])
    steep = slope.steep
    height = np.maximum(slope.largest - floor, 0.0)
    levels = height[:, :, None] * np.array(shares) + np.asarray(floor)[..., None]
    beyond = times > steep[:, :, None]
    beyond &= times <= limit[:, None, None]
    below = (windows[:, :, None, :] < levels[..., None]) & beyond[:, :, None, :]
    if uncrossed is Uncrossed.AT_LIMIT:
        return _interpolate(windows, below, levels, np.broadcast_to(limit[:, None], steep.shape))
    lowest = np.argmin(np.where(beyond, windows, np.inf), axis=2)
    return _interpolate(windows, below, levels, np.maximum(lowest, steep))


def find_outermost(windows: FloatArray, level: FloatArray) -> IntArray:
    """Last sample of each window that reaches a level, shape (side, row)."""
    reaches = windows >= level[:, :, None]
    last: IntArray = windows.shape[2] - 1 - np.argmax(reaches[:, :, ::-1], axis=2)
    return last


def find_corner(distance: FloatArray, steep: IntArray, limit: IntArray) -> FloatArray:
    """Where the trapezium between the steepest point and the curve is largest [Zhang2006].

    Parameters
    ----------
    distance : array of shape (side, row, count)
        How far the signal is from its value at the steepest point; runs outward.
    steep : integer array of shape (side, row)
        The steepest point.
    limit : integer array of shape (side,)
        The wave ends within so many samples.

    Returns
    -------
    array of shape (side, row)
        Samples outward from the start.
    """
    times = np.arange(distance.shape[2])
    far = 2 * (limit[:, None] + _BEYOND) - steep
    area = distance * (far[:, :, None] - times)
    possible = (times >= steep[:, :, None]) & (times <= limit[:, None, None])
    corner: FloatArray = np.argmax(np.where(possible, area, -1.0), axis=2).astype(np.float64)
    return corner


_BEYOND = 10
"""The trapezium's far corner stands a little beyond the limit, so that the limit itself can win."""


def _interpolate(
    windows: FloatArray, below: BoolArray, levels: FloatArray, otherwise: IntArray
) -> FloatArray:
    """First sample below each level, moved back to where the curve crosses it."""
    first: IntArray = np.argmax(below, axis=3)
    found = below.any(axis=3)
    under = read_at(windows, first)
    over = read_at(windows, np.maximum(first - 1, 0))
    back = clip((levels - under) / np.maximum(over - under, 1e-12), 0.0, 1.0)
    return np.where(found, first - back, otherwise[:, :, None])
