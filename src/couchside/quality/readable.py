"""Which leads cannot be read: hidden without a clear beat, or part of too much that is hidden."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.quality.spoils import Spoil

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readability:
    """What can be read.

    Parameters
    ----------
    hidden : array of bool, shape (lead, window)
        Where nothing can be made out.
    unreadable : array of bool, shape (lead,)
        Leads for whose sake the recording must be taken again.
    """

    hidden: BoolArray
    unreadable: BoolArray


def judge_readability(spoils: dict[FindingKind, Spoil], window_s: float) -> Readability:
    """Say which leads cannot be read.

    A lead without one clear stretch cannot be read. Where all that is hidden adds up to about one
    whole lead, every lead with a good part hidden counts.
    """
    hidden = np.logical_or.reduce([spoil.hides for spoil in spoils.values()])
    unreadable = lacks_stretch(hidden, window_s)
    share = hidden.mean(axis=1)
    if share.sum() >= thresholds.HIDDEN_LEADS:
        unreadable |= share >= min(thresholds.HIDDEN_SHARE, share.max())
    return Readability(hidden=hidden, unreadable=unreadable)


def lacks_stretch(hidden: BoolArray, window_s: float) -> BoolArray:
    """Whether no row of unhidden windows is as long as a reader needs at least.

    Parameters
    ----------
    hidden : array of bool, shape (lead, window)
    window_s : float
        Length of a window. In a recording too short for the stretch, any hidden window counts.

    Returns
    -------
    array of bool, shape (lead,)
    """
    needed = max(1, min(round(thresholds.CLEAR_STRETCH_S / window_s), hidden.shape[1]))
    clear = np.concatenate(
        [np.zeros((hidden.shape[0], 1), dtype=np.int64), np.cumsum(~hidden, axis=1)], axis=1
    )
    longest = clear[:, needed:] - clear[:, : clear.shape[1] - needed]
    lacking: BoolArray = longest.max(axis=1) < needed
    return lacking
