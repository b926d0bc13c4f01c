"""Which cable hangs on which electrode.

The recorder makes its leads from its cables, so an exchange of cables is a permutation of the ten
potentials before any lead is made; the shift of the central terminal follows by itself
[Batchvarov2007].
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, permutations
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import (
    CABLE_MARKS,
    CHEST_ELECTRODES,
    ELECTRODES,
    LIMB_ELECTRODES,
    ColourCode,
    Electrode,
)

FloatArray = NDArray[np.float64]
Cables = Mapping[Electrode, Electrode]
"""The electrode that each displaced cable hangs on; cables not named hang where they belong."""

CORRECT: Cables = MappingProxyType({})


def exchange(first: Electrode, second: Electrode) -> Cables:
    """Two cables exchanged with each other."""
    return MappingProxyType({first: second, second: first})


def limb_arrangements() -> tuple[Cables, ...]:
    """All 24 ways to hang the four limb cables on the four limb electrodes, the right one first."""
    return tuple(
        _displaced(dict(zip(LIMB_ELECTRODES, sites, strict=True)))
        for sites in permutations(LIMB_ELECTRODES)
    )


def chest_exchanges() -> tuple[Cables, ...]:
    """All 15 exchanges of two chest cables."""
    return tuple(exchange(first, second) for first, second in combinations(CHEST_ELECTRODES, 2))


def same_colour_exchanges(code: ColourCode) -> tuple[Cables, ...]:
    """Exchanges of a limb cable with the chest cable that bears the same colour."""
    marks = CABLE_MARKS[code]
    return tuple(
        exchange(limb, chest)
        for limb in LIMB_ELECTRODES
        for chest in CHEST_ELECTRODES
        if set(marks[limb].colours) & set(marks[chest].colours) - _common_colours(code)
    )


def potentials_at_cables(potentials: FloatArray, cables: Cables) -> FloatArray:
    """What the ten cables carry to the recorder.

    Parameters
    ----------
    potentials : array of shape (electrode, …)
        At the electrodes on the body, in the order of `ELECTRODES`.
    cables : mapping of Electrode to Electrode
        Which electrode each displaced cable hangs on.

    Returns
    -------
    array of the same shape
        At the recorder's inputs, in the same order of cables.

    Raises
    ------
    InvalidInput
        If two cables would hang on one electrode.
    """
    check_cables(cables)
    return potentials[[ELECTRODES.index(cables.get(cable, cable)) for cable in ELECTRODES]]


def check_cables(cables: Cables) -> None:
    """Raise `InvalidInput` unless the displaced cables hang on as many electrodes."""
    if set(cables) != set(cables.values()):
        listed = ", ".join(f"{cable} on {site}" for cable, site in cables.items())
        raise InvalidInput(
            f"the cables {listed} leave an electrode with two cables or none; "
            "name every displaced cable and give each its own electrode"
        )


def _displaced(cables: dict[Electrode, Electrode]) -> Cables:
    return MappingProxyType({cable: site for cable, site in cables.items() if cable is not site})


def _common_colours(code: ColourCode) -> frozenset[str]:
    """What all chest cables bear tells none of them apart."""
    chest = [frozenset(CABLE_MARKS[code][electrode].colours) for electrode in CHEST_ELECTRODES]
    return frozenset.intersection(*chest)
