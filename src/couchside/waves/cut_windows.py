"""Windows around the beats of a recording, cut from all leads at once."""

from __future__ import annotations

import numpy as np

from couchside.waves.clip import clip
from couchside.waves.model import FloatArray, IntArray


def view_windows(samples: FloatArray, starts: IntArray, width: int) -> list[FloatArray]:
    """As many windows as there are starts, all of one width.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        What to cut.
    starts : integer array of shape (window,)
        First sample of each; beyond the ends of the leads their ends are repeated.
    width : int
        Samples of a window.

    Returns
    -------
    list of array of shape (lead, width)
        Views of the samples, for reading only.
    """
    last = samples.shape[1] - width
    return [
        samples[:, start : start + width]
        if 0 <= start <= last
        else samples[:, clip(np.arange(start, start + width), 0, samples.shape[1] - 1)]
        for start in starts.tolist()
    ]


def cut_windows(samples: FloatArray, starts: IntArray, width: int) -> FloatArray:
    """The same as one array of shape (window, lead, width), at least one window; a copy."""
    return np.stack(view_windows(samples, starts, width))
