"""Which cable hangs on which electrode."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import ELECTRODES, Electrode

FloatArray = NDArray[np.float64]
Cables = Mapping[Electrode, Electrode]
"""The electrode that each displaced cable hangs on; cables not named hang where they belong."""

CORRECT: Cables = MappingProxyType({})


def exchange(first: Electrode, second: Electrode) -> Cables:
    """Two cables exchanged with each other."""
    return MappingProxyType({first: second, second: first})


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
    order = [ELECTRODES.index(cables.get(cable, cable)) for cable in ELECTRODES]
    check_cables(cables)
    return potentials[order]


def check_cables(cables: Cables) -> None:
    """Raise `InvalidInput` unless the cables hang on as many electrodes."""
    if set(cables) != set(cables.values()):
        listed = ", ".join(f"{cable} on {site}" for cable, site in cables.items())
        raise InvalidInput(
            f"the cables {listed} leave an electrode with two cables or none; "
            "name every displaced cable and give each its own electrode"
        )
