"""Which leads cannot be read: those without one clear stretch that is long enough."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.quality.spoils import Spoil

BoolArray = NDArray[np.bool_]


def find_unreadable(spoils: dict[FindingKind, Spoil], window_s: float) -> BoolArray:
    """Leads that everything together leaves without a clear stretch, shape (lead,)."""
    return lacks_stretch(np.logical_or.reduce([spoil.hides for spoil in spoils.values()]), window_s)


def lacks_stretch(hidden: BoolArray, window_s: float) -> BoolArray:
    """Whether no row of unhidden windows is as long as a reader needs.

    Parameters
    ----------
    hidden : array of bool, shape (lead, window)
    window_s : float
        Length of a window. In a recording too short for the stretch, any hidden window counts.

    Returns
    -------
    array of bool, shape (lead,)
    """
    needed = min(round(thresholds.CLEAR_STRETCH_S / window_s), hidden.shape[1])
    clear = np.concatenate(
        [np.zeros((hidden.shape[0], 1), dtype=np.int64), np.cumsum(~hidden, axis=1)], axis=1
    )
    longest = clear[:, needed:] - clear[:, : clear.shape[1] - needed]
    lacking: BoolArray = longest.max(axis=1) < needed
    return lacking
