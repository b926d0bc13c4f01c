"""Leads as electrodes beside their place would record them, and how usual they look put back.

The heart taken as a dipole in an even torso, electrodes that sit elsewhere mix the eight
independent leads in a known way; what no dipole explains stays as it is. The mixtures stand in
`displacements.csv`, made by ``python -m benchmarks quality displacements`` of the simulated torso.
"""

from __future__ import annotations

import csv
from enum import StrEnum
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from couchside.quality.interchange.features import (
    P_PLACES,
    POTENTIALS_FROM_EIGHT,
    BeatFeatures,
)
from couchside.quality.interchange.population import get_population
from couchside.quality.interchange.scoring import PLACE_WEIGHTS, TAIL, scale
from couchside.recording import INDEPENDENT_LEADS

FloatArray = NDArray[np.float64]


class Displacement(StrEnum):
    """Where electrodes sit instead of their place."""

    HIGH = "V1 and V2 two interspaces too high"
    LOW_ROW = "V3 to V6 too low"
    LATERAL_ROW = "V3 to V6 too far to the side"
    TORSO = "limb electrodes on the torso"


@cache
def get_mixtures() -> FloatArray:
    """The eight leads of displaced electrodes from those in place, shape (displacement, 8, 8)."""
    text = files(__package__).joinpath("displacements.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    mixtures = np.array(
        [
            [
                [float(row[str(lead)]) for lead in INDEPENDENT_LEADS]
                for row in rows
                if row["of"] == each
            ]
            for each in Displacement
        ]
    )
    mixtures.setflags(write=False)
    return mixtures


def gain_of_putting_back(features: BeatFeatures) -> dict[Displacement, float]:
    """How much more like usual hearts the recording is with electrodes put back.

    Parameters
    ----------
    features : BeatFeatures
        As recorded; all cables known.

    Returns
    -------
    dict of Displacement to float
        Natural logarithms, in the units of the scores of exchanged cables.
    """
    recorded = features.potentials_uv
    misfits = _misfits(np.concatenate((recorded[None], _get_ways_back() @ recorded)), features)
    return dict(zip(Displacement, (misfits[0] - misfits[1:]).tolist(), strict=True))


def _misfits(potentials_uv: FloatArray, features: BeatFeatures) -> FloatArray:
    """Of each set of potentials, shape (set, electrode, place), to usual hearts, shape (set,)."""
    population = get_population().like(features)
    scaled = scale(potentials_uv).transpose(0, 2, 1)
    whitened = (population.whitening @ (scaled - population.mean)[..., None])[..., 0]
    squared = (whitened**2).sum(axis=2)
    tails = 0.5 * (TAIL + whitened.shape[2]) * np.log1p(squared / TAIL)
    first = 0 if features.has_p else P_PLACES
    misfits: FloatArray = tails[:, first:] @ PLACE_WEIGHTS[first:]
    return misfits


@cache
def _get_ways_back() -> FloatArray:
    """Potentials with electrodes in place from displaced ones, shape (displacement, 9, 9)."""
    against_mean = POTENTIALS_FROM_EIGHT - POTENTIALS_FROM_EIGHT.mean(axis=0)
    ways: FloatArray = against_mean @ np.linalg.inv(get_mixtures()) @ np.linalg.pinv(against_mean)
    return ways
