"""Which limb leads stand under a wrong name, upside down, or are wrong alone, where they disagree.

Exchanged cables keep I + III = II; names exchanged in a file break it, and so does a lead stored
upside down, scaled, late or copied. Each such mistake is undone in turn: the one after which the
limb leads add up was made. Turning the whole triangle over or round adds up as well, so the
smallest change is taken, and none where two are as small. [Einthoven1912, Goldberger1942]
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from couchside.recording import LIMB_LEADS, TWELVE_FROM_EIGHT

FloatArray = NDArray[np.float64]

LIMB_FROM_TWO: FloatArray = TWELVE_FROM_EIGHT[: len(LIMB_LEADS), :2]
"""I, II, III, aVR, aVL and aVF from I and II."""
MOST_CHANGES = 3
"""A name that moved and a lead turned over are a change each. By design: two names, two and one of
them turned over, or three names; more are a file that nobody can put right by reading."""
_WEIGHT_OF_IDENTITY = 3.0
"""Sum of the weights in I + III = II, for which the tolerance holds; others are brought to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """What undoing makes the leads add up.

    Parameters
    ----------
    names : tuple of str
        Leads in the order of `LIMB_LEADS` that a file stores in another way.
    holds : tuple of str
        For each of them, the lead that truly stands under that name.
    upside_down : tuple of str
        Names under which the lead stands upside down.
    """

    names: tuple[str, ...]
    holds: tuple[str, ...]
    upside_down: tuple[str, ...]


def find_mistake(
    limb: FloatArray, chest: FloatArray, chest_leads: tuple[str, ...], tolerance_uv: float
) -> Mistake | None:
    """The smallest mistake in naming or turning over that explains why limb leads disagree.

    Parameters
    ----------
    limb : array of shape (6, sample)
        I, II, III, aVR, aVL and aVF as stored, each about its mean, µV.
    chest : array of shape (lead, sample)
        Chest leads likewise, with one of which a limb lead may have changed names.
    chest_leads : tuple of str
        Their names.
    tolerance_uv : float
        By how much three leads that add up may differ.

    Returns
    -------
    Mistake or None
        None where no mistake of `MOST_CHANGES` explains it, or several as small do.
    """
    for changes in range(1, MOST_CHANGES + 1):
        mistakes = _list_mistakes(changes)
        undone = _which_add_up(_undo_mistakes(changes), limb, tolerance_uv)
        found = [_describe(*mistakes[each]) for each in undone]
        if changes == _NAMES_IN_AN_EXCHANGE:
            found += _exchanged_with_chest(limb, chest, chest_leads, tolerance_uv)
        if found:
            return found[0] if len(found) == 1 else None
    return None


def find_wrong_lead(limb: FloatArray, tolerance_uv: float) -> tuple[int, FloatArray] | None:
    """The one limb lead without which the other five agree, and what they give in its place.

    Parameters
    ----------
    limb : array of shape (6, sample)
        As for `find_mistake`.
    tolerance_uv : float
        Likewise.

    Returns
    -------
    tuple of (int, array of shape (sample,)) or None
        Its place in `LIMB_LEADS`, and the lead as it must be; None where no lead or several can be
        left out so.
    """
    rows = np.arange(len(LIMB_LEADS))
    alone = [
        row for row in rows.tolist() if _agree(limb[rows != row], _identities(row), tolerance_uv)
    ]
    if len(alone) != 1:
        return None
    others = rows != alone[0]
    pair = np.linalg.pinv(LIMB_FROM_TWO[others]) @ limb[others]
    return alone[0], LIMB_FROM_TWO[alone[0]] @ pair


_NAMES_IN_AN_EXCHANGE = 2


def _agree(leads: FloatArray, identities: FloatArray, tolerance_uv: float) -> bool:
    """Whether all that must be 0 is."""
    return bool(_which_add_up(identities[None], leads, tolerance_uv))


def _which_add_up(sums: FloatArray, leads: FloatArray, tolerance_uv: float) -> list[int]:
    """Which sets of sums are 0 at every sample; some samples are looked at first.

    Parameters
    ----------
    sums : array of shape (set, identity, lead)
        Weights.
    leads : array of shape (lead, sample)
    tolerance_uv : float
    """
    some = leads[:, :: max(1, leads.shape[1] // _LOOKED_AT_FIRST)]
    at_some = np.abs(sums.reshape(-1, len(leads)) @ some).max(axis=1)
    left = np.flatnonzero((at_some.reshape(len(sums), -1) <= tolerance_uv).all(axis=1))
    return [each for each in left.tolist() if (np.abs(sums[each] @ leads) <= tolerance_uv).all()]


_LOOKED_AT_FIRST = 100


@lru_cache
def _identities(without: int | None) -> FloatArray:
    """Weights of sums that are 0, shape (identity, lead), for all limb leads or all but one."""
    kept = LIMB_FROM_TWO if without is None else np.delete(LIMB_FROM_TWO, without, axis=0)
    left, _, _ = np.linalg.svd(kept)
    sums: FloatArray = left[:, 2:].T.copy()
    sums *= _WEIGHT_OF_IDENTITY / np.abs(sums).sum(axis=1, keepdims=True)
    return sums


@lru_cache
def _undo_mistakes(changes: int) -> FloatArray:
    """Sums that are 0 once a mistake is undone, in leads as stored, (mistake, identity, lead)."""
    mistakes = _list_mistakes(changes)
    undone = np.zeros((len(mistakes), *_identities(None).shape))
    for sums, (order, turned) in zip(undone, mistakes, strict=True):
        sums[:, order] = _identities(None) * turned
    return undone


@lru_cache
def _list_mistakes(changes: int) -> tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]:
    """Where each lead is stored, and its sign there, for every mistake of so many changes."""
    return tuple(_make_mistakes(changes))


def _make_mistakes(changes: int) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    places = range(len(LIMB_LEADS))
    for order in permutations(places):
        turned_over = changes - sum(place != row for row, place in enumerate(order))
        if turned_over < 0:
            continue
        for turned in combinations(places, turned_over):
            yield order, tuple(-1 if row in turned else 1 for row in places)


def _describe(order: tuple[int, ...], turned: tuple[int, ...]) -> Mistake:
    changed = [(place, row) for row, place in enumerate(order) if place != row or turned[row] < 0]
    changed.sort()
    return Mistake(
        names=tuple(str(LIMB_LEADS[place]) for place, _ in changed),
        holds=tuple(str(LIMB_LEADS[row]) for _, row in changed),
        upside_down=tuple(str(LIMB_LEADS[place]) for place, row in changed if turned[row] < 0),
    )


def _exchanged_with_chest(
    limb: FloatArray, chest: FloatArray, chest_leads: tuple[str, ...], tolerance_uv: float
) -> list[Mistake]:
    """A limb and a chest lead that changed names; the chest lead put in, the others add up."""
    if not chest_leads:
        return []
    identities = _identities(None)
    count = len(chest_leads)
    sums = np.zeros((len(LIMB_LEADS), count, len(identities), len(LIMB_LEADS) + count))
    sums[..., : len(LIMB_LEADS)] = identities
    for row in range(len(LIMB_LEADS)):
        sums[row, :, :, row] = 0.0
        for other in range(count):
            sums[row, other, :, len(LIMB_LEADS) + other] = identities[:, row]
    leads = np.concatenate((limb, chest))
    undone = _which_add_up(sums.reshape(-1, *sums.shape[2:]), leads, tolerance_uv)
    pairs = [(str(LIMB_LEADS[each // count]), chest_leads[each % count]) for each in undone]
    return [Mistake(names=pair, holds=pair[::-1], upside_down=()) for pair in pairs]
