"""Bundles: beats of one group that lie near each other in time, and their average.

In a recording of ten seconds a bundle is a group. In a long recording a group is cut in stretches,
because waves change over minutes.
"""

from __future__ import annotations

import numpy as np

from couchside.waves.cut_windows import view_windows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.trim_beats import trimmed_mean

TRIM = 0.25
"""Share of the beats left out at each extreme, sample by sample."""
STRETCH_S = 30.0


def make_bundles(beats: IntArray, groups: IntArray, rate_hz: float) -> list[IntArray]:
    """Indices of the beats of each bundle; the first bundle belongs to the leading group.

    Parameters
    ----------
    beats : integer array of shape (beat,)
        Detection points.
    groups : integer array of shape (beat,)
        From `group_beats`.
    rate_hz : float
        Rate at which the detection points are counted.

    Returns
    -------
    list of integer array
        Each beat stands in exactly one bundle.
    """
    stretch = (beats / (rate_hz * STRETCH_S)).astype(np.int64)
    key = groups * (stretch.max(initial=0) + 1) + stretch
    order = np.argsort(key, kind="stable")
    cuts = np.flatnonzero(np.diff(key[order])) + 1
    return np.split(order, cuts)


def find_bundle_of_beats(bundles: list[IntArray], count: int) -> IntArray:
    """Number of the bundle in which each of so many beats stands, shape (beat,)."""
    of_beat = np.empty(count, dtype=np.int64)
    for number, members in enumerate(bundles):
        of_beat[members] = number
    return of_beat


def average_bundle(samples: FloatArray, starts: IntArray, width: int) -> FloatArray:
    """Trimmed mean of windows.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        Free of wander.
    starts : integer array of shape (beat,)
        First sample of each beat's window; beyond the ends the end is repeated.
    width : int
        Samples of a window.

    Returns
    -------
    array of shape (lead, width)
    """
    whole = starts[(starts >= 0) & (starts + width <= samples.shape[1])]
    windows = view_windows(samples, whole if whole.shape[0] >= LEAST_WHOLE else starts, width)
    return trimmed_mean(windows, int(TRIM * len(windows)))


LEAST_WHOLE = 3
"""With so many beats that the recording does not cut off, the others are left out."""
