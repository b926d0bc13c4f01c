"""Where noise can come from in a set of leads, and how each source enters each lead.

A source is an electrode of the ten, by `Electrode`, or the electrode of one more chest lead, such
as V7 beside V1–V6, by the name of that lead.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from couchside.recording import (
    CHEST_ELECTRODES,
    CHEST_LEADS,
    CHEST_LEADS_AS_PLACED,
    ELECTRODES,
    LIMB_LEADS,
    Electrode,
    Lead,
    get_lead_matrix,
)

FloatArray = NDArray[np.float64]

LIMB_SOURCES = (Electrode.RA, Electrode.LA, Electrode.LL)
ANY_CHEST_LEADS = frozenset(
    str(lead) for lead in Lead if lead.startswith("V") and lead not in LIMB_LEADS
)
"""All are measured against the mean of the three limbs [Wilson1934]."""

_LEAD_SETS_KEPT = 64


def choose_leads(leads: tuple[str, ...]) -> tuple[str, ...] | None:
    """Independent leads among those recorded: two limb leads and every chest lead.

    None where fewer than two limb leads were recorded, so that no limb electrode can be told from
    another. Leads of other systems, such as X, Y and Z, are left out: they have electrodes of their
    own.
    """
    limb = [str(name) for name in LIMB_LEADS if name in leads][:2]
    if len(limb) < 2:
        return None
    return (*limb, *(str(name) for name in leads if name in ANY_CHEST_LEADS))


@lru_cache(maxsize=_LEAD_SETS_KEPT)
def list_sources(leads: tuple[str, ...]) -> tuple[str, ...]:
    """The three limb electrodes, and one for each chest lead in the order of the leads."""
    placed = electrodes_of_chest_leads(leads)
    chest = tuple(placed.get(name, name) for name in leads if name in ANY_CHEST_LEADS)
    return (*LIMB_SOURCES, *chest)


@lru_cache(maxsize=_LEAD_SETS_KEPT)
def source_weights(leads: tuple[str, ...]) -> FloatArray:
    """Weight of each source in each lead, shape (lead, source); 0 in a lead of no known formula.

    Parameters
    ----------
    leads : tuple of str
        Any leads; the columns are in the order of `list_sources`.
    """
    chest = [name for name in leads if name in ANY_CHEST_LEADS]
    weights = np.zeros((len(leads), len(LIMB_SOURCES) + len(chest)))
    for row, name in enumerate(leads):
        if name in ANY_CHEST_LEADS:
            weights[row, : len(LIMB_SOURCES)] = -1.0 / len(LIMB_SOURCES)
            weights[row, len(LIMB_SOURCES) + chest.index(name)] = 1.0
        elif name in LIMB_LEADS:
            of_limbs = [ELECTRODES.index(electrode) for electrode in LIMB_SOURCES]
            weights[row, : len(LIMB_SOURCES)] = get_lead_matrix((name,))[0, of_limbs]
    weights.setflags(write=False)
    return weights


def electrodes_of_chest_leads(leads: tuple[str, ...]) -> dict[str, Electrode]:
    """Which chest cable records which lead, told from the set of chest leads.

    Where exactly the six leads of a placement were recorded, its six cables record them; else
    V1–V6 are recorded by their own, and what stands beside them by cables of no known name.
    """
    chest = {name for name in leads if name in ANY_CHEST_LEADS}
    named = next((each for each in CHEST_LEADS_AS_PLACED.values() if set(each) == chest), None)
    return {
        str(name): electrode
        for name, electrode in zip(named or CHEST_LEADS, CHEST_ELECTRODES, strict=True)
        if name in chest
    }
