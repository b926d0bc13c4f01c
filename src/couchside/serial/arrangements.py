"""How well each arrangement of cables explains a beat, given another beat of the same person.

An exchange renames and turns leads by exact algebra [Batchvarov2007]; a heart does not. Where the
earlier recording, put through the algebra of an exchange, is much more like the new one than it is
as it stands, the cables of one of the two were exchanged. The right leg is taken to have the left
leg's potential, so that arrangements which differ in it alone are one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from couchside.quality.interchange import ARRANGEMENTS
from couchside.recording import (
    CHEST_ELECTRODES,
    ELECTRODES,
    INDEPENDENT_LEADS,
    Electrode,
    get_lead_matrix,
)
from couchside.serial.distance import LEAD_COUNT, log_distances
from couchside.serial.model import FloatArray
from couchside.serial.shape import BeatShape, find_shape
from couchside.waves import RepresentativeBeat

Cables = Mapping[Electrode, Electrode]
"""The electrode that each displaced cable hangs on; cables not named hang where they belong."""

ST_T_SCALE, P_SCALE = 0.3, 2.0
"""ST-T changes from day to day more than QRS; P is small, and its direction holds best."""
LIMB_PRICE, CHEST_PRICE = 3.0, 0.3
"""Along a limb the potential hardly changes; a chest electrode an inch away sees another lead."""
DEGREES_OF_FREEDOM = 60.0
"""Independent values in a beat, as far as the fit is concerned: chosen on the tuning patients so
that exchanges are told and nothing else is; see docs/validation.md."""


def log_likelihood_by_arrangement(
    new: RepresentativeBeat | None,
    earlier: RepresentativeBeat | None,
    arrangements: Sequence[Cables],
) -> FloatArray | None:
    """How well each arrangement of cables explains the new beat, given an earlier one.

    Parameters
    ----------
    new, earlier : RepresentativeBeat or None
        Of two recordings of one person; the earlier one with its cables where they belong.
    arrangements : sequence of Cables
        Which electrode each displaced cable of the new recording hangs on; an empty mapping stands
        for all cables where they belong.

    Returns
    -------
    array of shape (arrangement,) or None
        Natural logarithms up to one common constant, to be added to those of a prior. None where
        one of the beats lacks QRS boundaries or one of the eight independent leads.

    Notes
    -----
    With a noise of unknown size the likelihood is the remainder (see `couchside.serial.distance`)
    to the power of minus half the degrees of freedom.
    """
    there, then = find_shape(new), find_shape(earlier)
    if there is None or then is None:
        return None
    return _log_likelihoods(there, then, np.stack([lead_map(cables) for cables in arrangements]))


def log_likelihoods(new: BeatShape, earlier: BeatShape) -> FloatArray:
    """The same for all of `couchside.quality.interchange.ARRANGEMENTS`, in their order."""
    return _log_likelihoods(new, earlier, _MAPS)[_MAP_OF_ARRANGEMENT]


def log_likelihoods_of_mixtures(
    new: BeatShape, earlier: BeatShape, mixtures: FloatArray
) -> FloatArray:
    """The same for mixtures of the eight leads, shape (mixture, 8, 8), against none at all."""
    found = _log_likelihoods(new, earlier, np.concatenate((np.eye(LEAD_COUNT)[None], mixtures)))
    against_none: FloatArray = found[1:] - found[0]
    return against_none


def lead_map(cables: Cables) -> FloatArray:
    """The eight independent leads under an arrangement from those with all cables in place.

    Returns
    -------
    array of shape (8, 8)
        The identity for an empty mapping.
    """
    sites = [ELECTRODES.index(cables.get(cable, cable)) for cable in ELECTRODES]
    mapped: FloatArray = get_lead_matrix(INDEPENDENT_LEADS) @ _POTENTIALS[sites]
    return mapped


def _log_likelihoods(new: BeatShape, earlier: BeatShape, maps: FloatArray) -> FloatArray:
    distances = log_distances(new, earlier, maps, _PRICES, st_t_scale=ST_T_SCALE, p_scale=P_SCALE)
    likelihoods: FloatArray = -0.5 * DEGREES_OF_FREEDOM * distances
    return likelihoods


def _make_potentials() -> FloatArray:
    """Potentials of the ten electrodes against Wilson's terminal, from the eight leads."""
    potentials = np.zeros((len(ELECTRODES), LEAD_COUNT))
    potentials[0, :2] = -1.0 / 3.0, -1.0 / 3.0
    potentials[1, :2] = 2.0 / 3.0, -1.0 / 3.0
    potentials[2:4, :2] = -1.0 / 3.0, 2.0 / 3.0
    potentials[4:, 2:] = np.eye(len(CHEST_ELECTRODES))
    return potentials


_POTENTIALS = _make_potentials()
_MAPS, _MAP_OF_ARRANGEMENT = np.unique(
    np.round([lead_map(each.cables) for each in ARRANGEMENTS], 12), axis=0, return_inverse=True
)
"""Arrangements that leave the same leads share one map."""
_PRICES = np.array([LIMB_PRICE] * 2 + [CHEST_PRICE] * len(CHEST_ELECTRODES))
