"""Lead definitions of Einthoven (1912), Wilson (1934) and Goldberger (1942), and what follows.

The identities and the fault signatures are exact algebra over those definitions; the tolerance is
rounding in double precision on potentials of about 1000 µV.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    TWELVE_FROM_EIGHT,
    Electrode,
    get_lead_matrix,
    leads_from_potentials,
    twelve_from_eight,
)

FloatArray = NDArray[np.float64]
TOLERANCE_UV = 1e-9
potentials = arrays(np.float64, (10, 3), elements=st.floats(-5000, 5000, width=32))


def lead(name: str, values: FloatArray) -> FloatArray:
    row: FloatArray = leads_from_potentials(values, (name,))[0]
    return row


@given(potentials)
def test_einthoven_wilson_goldberger(values: FloatArray) -> None:
    right, left, foot = values[0], values[1], values[2]
    terminal = (right + left + foot) / 3
    assert np.allclose(lead("I", values), left - right, atol=TOLERANCE_UV)
    assert np.allclose(lead("II", values), foot - right, atol=TOLERANCE_UV)
    assert np.allclose(lead("III", values), foot - left, atol=TOLERANCE_UV)
    assert np.allclose(lead("aVR", values), 1.5 * (right - terminal), atol=TOLERANCE_UV)
    assert np.allclose(lead("aVL", values), 1.5 * (left - terminal), atol=TOLERANCE_UV)
    assert np.allclose(lead("aVF", values), 1.5 * (foot - terminal), atol=TOLERANCE_UV)
    assert np.allclose(lead("V1", values), values[4] - terminal, atol=TOLERANCE_UV)


@given(potentials)
def test_redundancy_identities_hold_sample_by_sample(values: FloatArray) -> None:
    first, second, third, avr, avl, avf = (
        lead(name, values) for name in ("I", "II", "III", "aVR", "aVL", "aVF")
    )
    assert np.allclose(first + third, second, atol=TOLERANCE_UV)
    assert np.allclose(avr + avl + avf, 0, atol=TOLERANCE_UV)
    assert np.allclose(first, 2 / 3 * (avl - avr), atol=TOLERANCE_UV)
    assert np.allclose(second, 2 / 3 * (avf - avr), atol=TOLERANCE_UV)
    assert np.allclose(third, 2 / 3 * (avf - avl), atol=TOLERANCE_UV)


@given(potentials)
def test_eight_leads_hold_all_twelve(values: FloatArray) -> None:
    eight = leads_from_potentials(values, INDEPENDENT_LEADS)
    twelve = leads_from_potentials(values)
    assert np.allclose(twelve_from_eight(eight), twelve, atol=TOLERANCE_UV)
    assert np.linalg.matrix_rank(TWELVE_FROM_EIGHT) == 8


@pytest.mark.parametrize(
    ("electrode", "limb_weights", "every_chest_lead"),
    [
        (Electrode.RA, (-1, -1, 0, 1, -1 / 2, -1 / 2), -1 / 3),
        (Electrode.LA, (1, 0, -1, -1 / 2, 1, -1 / 2), -1 / 3),
        (Electrode.LL, (0, 1, 1, -1 / 2, -1 / 2, 1), -1 / 3),
        (Electrode.RL, (0, 0, 0, 0, 0, 0), 0),
    ],
)
def test_a_bad_limb_electrode_spoils_the_leads_by_fixed_weights(
    electrode: Electrode, limb_weights: tuple[float, ...], every_chest_lead: float
) -> None:
    column = get_lead_matrix()[:, ELECTRODES.index(electrode)]
    assert column[:6] == pytest.approx(limb_weights)
    assert column[6:] == pytest.approx([every_chest_lead] * 6)


def test_a_bad_chest_electrode_spoils_its_own_lead_alone() -> None:
    for position in range(6):
        column = get_lead_matrix()[:, 4 + position]
        expected = np.zeros(12)
        expected[6 + position] = 1
        assert np.array_equal(column, expected)


def test_leads_come_in_the_order_asked_for() -> None:
    matrix = get_lead_matrix(("V2", "aVF"))
    assert np.array_equal(matrix[0], get_lead_matrix()[STANDARD_LEADS.index("V2")])
    assert np.array_equal(matrix[1], get_lead_matrix()[STANDARD_LEADS.index("aVF")])


def test_a_lead_without_an_electrode_formula_is_refused() -> None:
    with pytest.raises(InvalidInput, match="no electrode formula is known for lead X"):
        get_lead_matrix(("I", "X"))


def test_the_matrices_cannot_be_changed_by_accident() -> None:
    with pytest.raises(ValueError, match="read-only"):
        TWELVE_FROM_EIGHT[0, 0] = 7
