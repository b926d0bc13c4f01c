"""Leads as matrices over the potentials of the ten electrodes (Einthoven, Goldberger, Wilson).

With R, L, F the potentials at right arm, left arm and left leg and C1..C6 those at the chest:
I = L − R, II = F − R, III = F − L, aVR = R − (L + F)/2, aVL = L − (R + F)/2,
aVF = F − (R + L)/2, Vi = Ci − (R + L + F)/3. The right leg enters no lead. [Einthoven1912,
Wilson1934, Goldberger1942]
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording.electrodes import CHEST_ELECTRODES, ELECTRODES, Electrode
from couchside.recording.leads import CHEST_LEADS, INDEPENDENT_LEADS, STANDARD_LEADS

Matrix = NDArray[np.float64]


def get_lead_matrix(leads: tuple[str, ...] = STANDARD_LEADS) -> Matrix:
    """Weights by which electrode potentials make leads.

    Parameters
    ----------
    leads : tuple of str
        Any of the twelve standard leads, in any order.

    Returns
    -------
    array of shape (lead, electrode)
        Columns in the order of `ELECTRODES`: RA, LA, LL, RL, C1..C6.

    Raises
    ------
    InvalidInput
        If a lead is not one of the twelve.
    """
    missing = [name for name in leads if name not in STANDARD_LEADS]
    if missing:
        raise InvalidInput(f"no electrode formula is known for lead {', '.join(missing)}")
    rows = [STANDARD_LEADS.index(name) for name in leads]
    selected: Matrix = _TWELVE_FROM_ELECTRODES[rows]
    return selected


def leads_from_potentials(potentials: Matrix, leads: tuple[str, ...] = STANDARD_LEADS) -> Matrix:
    """Leads in the unit of the potentials.

    Parameters
    ----------
    potentials : array of shape (electrode, sample)
        In the order of `ELECTRODES`.
    leads : tuple of str
        Which leads, see `get_lead_matrix`.

    Returns
    -------
    array of shape (lead, sample)
    """
    product: Matrix = get_lead_matrix(leads) @ potentials
    return product


def twelve_from_eight(independent: Matrix) -> Matrix:
    """All twelve leads from the eight independent ones.

    Parameters
    ----------
    independent : array of shape (8, sample)
        In the order of `INDEPENDENT_LEADS`: I, II, V1..V6.

    Returns
    -------
    array of shape (12, sample)
        In the order of `STANDARD_LEADS`; the limb identities hold exactly.
    """
    product: Matrix = TWELVE_FROM_EIGHT @ independent
    return product


def _build_twelve_from_electrodes() -> Matrix:
    right, left, foot, _, *chest = np.eye(len(ELECTRODES))
    central_terminal = (right + left + foot) / 3.0
    limb = [
        left - right,
        foot - right,
        foot - left,
        right - (left + foot) / 2.0,
        left - (right + foot) / 2.0,
        foot - (right + left) / 2.0,
    ]
    return np.array(limb + [electrode - central_terminal for electrode in chest])


def _build_twelve_from_eight() -> Matrix:
    first, second, *chest = np.eye(len(INDEPENDENT_LEADS))
    limb = [
        first,
        second,
        second - first,
        -(first + second) / 2.0,
        first - second / 2.0,
        second - first / 2.0,
    ]
    return np.array(limb + chest)


def _read_only(matrix: Matrix) -> Matrix:
    matrix.setflags(write=False)
    return matrix


_TWELVE_FROM_ELECTRODES = _read_only(_build_twelve_from_electrodes())
TWELVE_FROM_EIGHT = _read_only(_build_twelve_from_eight())
CHEST_ELECTRODE_OF_LEAD: dict[str, Electrode] = dict(
    zip(CHEST_LEADS, CHEST_ELECTRODES, strict=True)
)
