"""Putting a recording right: exact algebra from the cables back to the electrodes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.quality.interchange.arrangements import RECORDED_ELECTRODES, Arrangement
from couchside.quality.interchange.features import POTENTIALS_FROM_EIGHT
from couchside.recording import (
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Recording,
    leads_from_potentials,
)

FloatArray = NDArray[np.float64]
DERIVED_REMARK = "DERIVED PREVIEW, not as recorded, put right by software"


def undoing_matrix(arrangement: Arrangement) -> FloatArray:
    """Potentials at the nine electrodes from those at the nine cables.

    Parameters
    ----------
    arrangement : Arrangement
        How the cables hang.

    Returns
    -------
    array of shape (electrode, cable)
        In the order of `RECORDED_ELECTRODES`; the right leg counts as the left, and the row of an
        electrode that no cable hangs on is zero.
    """
    matrix = np.zeros((len(RECORDED_ELECTRODES), len(RECORDED_ELECTRODES)))
    for row, electrode in enumerate(RECORDED_ELECTRODES):
        for column, cable in enumerate(RECORDED_ELECTRODES):
            site = arrangement.cables.get(cable, cable)
            if _leg(site) is electrode and not matrix[row].any():
                matrix[row, column] = 1.0
    return matrix


def put_right(recording: Recording, arrangement: Arrangement, *, because: str = "") -> Recording:
    """The recording as it would have been with the cables in place: a preview, never a record.

    Parameters
    ----------
    recording : Recording
        With I, II and V1..V6.
    arrangement : Arrangement
        How its cables seem to have hung.
    because : str
        The arrangement in words, for the remark.

    Returns
    -------
    Recording
        The twelve leads; its remarks begin with `DERIVED_REMARK` and it has no origin, so that it
        cannot pass for what the recorder wrote.

    Raises
    ------
    InvalidInput
        If the right-leg cable is among those displaced, for what was not recorded cannot be
        worked out, or if one of the eight leads is missing.
    """
    if not arrangement.can_be_undone:
        raise InvalidInput(
            "a cable on the right leg leaves an electrode unrecorded, which no software can work "
            "out; put the cables where they belong and record again"
        )
    independent = np.array([recording.get_lead(name) for name in INDEPENDENT_LEADS])
    at_electrodes = undoing_matrix(arrangement) @ POTENTIALS_FROM_EIGHT @ independent
    right_leg = at_electrodes[2:3]
    return replace(
        recording,
        leads=tuple(map(str, STANDARD_LEADS)),
        microvolts=leads_from_potentials(np.insert(at_electrodes, 3, right_leg, axis=0)),
        origin=None,
        remarks=(f"{DERIVED_REMARK}: {because}" if because else DERIVED_REMARK, *recording.remarks),
    )


def _leg(electrode: Electrode) -> Electrode:
    return Electrode.LL if electrode is Electrode.RL else electrode
