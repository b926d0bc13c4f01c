"""Bundles: beats of one group that lie near each other in time, and their average.

In a recording of ten seconds a bundle is a group. In a long recording a group is cut in stretches,
because waves change over minutes.
"""

from __future__ import annotations

import numpy as np

from couchside.waves.model import FloatArray, IntArray
from couchside.waves.sort_beats import mean_of_planes, sort_beats

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


def average_bundle(samples: FloatArray, places: IntArray) -> FloatArray:
    """Trimmed mean of windows.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        Free of wander.
    places : integer array of shape (beat, window sample)
        Samples of each beat's window; beyond the ends the end is repeated.

    Returns
    -------
    array of shape (lead, window sample)
    """
    whole = places[(places[:, 0] >= 0) & (places[:, -1] < samples.shape[1])]
    chosen = whole if whole.shape[0] >= LEAST_WHOLE else places
    windows = samples[:, np.clip(chosen, 0, samples.shape[1] - 1)]
    count = windows.shape[1]
    cut = int(TRIM * count)
    if not cut:
        plain: FloatArray = windows.mean(axis=1)
        return plain
    return mean_of_planes(sort_beats(windows)[cut : count - cut])


LEAST_WHOLE = 3
"""With so many beats that the recording does not cut off, the others are left out."""
