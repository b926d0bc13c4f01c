"""What an arrangement that loses an electrode cannot hide: two cables at one potential.

With a recording cable on the right leg two of the three limb cables hang on legs, so the lead
between them is flat; with a chest cable on the right leg that chest lead is a copy of VF.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality.interchange.arrangements import (
    ARRANGEMENTS,
    RECORDED_ELECTRODES,
    Arrangement,
)
from couchside.quality.interchange.features import P_PLACES
from couchside.recording import CHEST_ELECTRODES, CHEST_LEADS, LIMB_LEADS, Electrode

FloatArray = NDArray[np.float64]


def signature_ratios(potentials_uv: FloatArray) -> FloatArray:
    """How far two cables are from one potential, beside how far each is from a third.

    Parameters
    ----------
    potentials_uv : array of shape (electrode, place)
        As recorded, by the cable.

    Returns
    -------
    array of shape (arrangement,)
        For a limb cable on the right leg, the rms over QRS and ST–T of the flat lead as a share
        of the smaller of the other two among I, II, III; for a chest cable there, of its lead
        less VF as a share of VF; 1 for an arrangement that loses no electrode.
    """
    wave = potentials_uv[:, P_PLACES:]
    limb = _rms(wave[[0, 0, 1]] - wave[[1, 2, 2]])
    flat = limb / np.maximum([min(limb[1:]), min(limb[::2]), min(limb[:2])], 1e-9)
    foot = wave[2] - wave[:3].mean(axis=0)
    copies = _rms(wave[3:] - wave[2]) / max(float(_rms(foot)), 1e-9)
    ratios: FloatArray = np.concatenate((flat, copies, [1.0]))[_WHICH]
    return ratios


def find_flat_lead(arrangement: Arrangement) -> str | None:
    """Which of I, II and III the arrangement makes flat; None where it makes none."""
    at = _which(arrangement)
    return LIMB_LEADS[at] if at < len(_LIMB_PAIRS) else None


def find_copied_chest_lead(arrangement: Arrangement) -> str | None:
    """Which chest lead the arrangement makes a copy of VF; None where it makes none."""
    at = _which(arrangement) - len(_LIMB_PAIRS)
    return CHEST_LEADS[at] if 0 <= at < len(CHEST_LEADS) else None


def _rms(waves: FloatArray) -> FloatArray:
    size: FloatArray = np.sqrt(np.mean(waves**2, axis=-1))
    return size


def _which(arrangement: Arrangement) -> int:
    """Place of its ratio among those of I, II, III, V1..V6, and the one of those without."""
    on_legs = {
        cable
        for cable in RECORDED_ELECTRODES
        if arrangement.cables.get(cable, cable) in (Electrode.LL, Electrode.RL)
    }
    if arrangement.lost is None:
        return _NO_SIGNATURE
    if on_legs in _LIMB_PAIRS:
        return _LIMB_PAIRS.index(on_legs)
    (chest,) = on_legs & set(CHEST_ELECTRODES)
    return len(_LIMB_PAIRS) + CHEST_ELECTRODES.index(chest)


_LIMB_PAIRS = [
    {Electrode.RA, Electrode.LA},
    {Electrode.RA, Electrode.LL},
    {Electrode.LA, Electrode.LL},
]
"""The two cables between which I, II and III are recorded."""
_NO_SIGNATURE = len(_LIMB_PAIRS) + len(CHEST_ELECTRODES)
_WHICH = np.array([_which(each) for each in ARRANGEMENTS])
