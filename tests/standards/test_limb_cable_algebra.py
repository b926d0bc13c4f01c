"""Every hanging of the four limb cables, against the algebra worked out by hand.

The table follows from the definitions of Einthoven, Goldberger and Wilson alone: write each lead
with the potentials that the cables carry and express it in the true leads and D = RL − LL. It
agrees with the rules of Batchvarov et al., Europace 2007;9:1081 (exchanges among RA, LA, LL leave
V1–V6 alone; any with the right-leg cable on an arm bends the central terminal).
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import ELECTRODES, STANDARD_LEADS, Electrode, leads_from_potentials
from couchside.simulate.cables import (
    chest_exchanges,
    exchange,
    limb_arrangements,
    potentials_at_cables,
)

TABLE = """
correct | I | II | III | aVR | aVL | aVF | V
RA@LA LA@RA | -I | III | II | aVL | aVR | aVF | V
LA@LL LL@LA | II | I | -III | aVR | aVF | aVL | V
RA@LL LL@RA | -III | -II | -I | aVF | aVL | aVR | V
RA@LA LA@LL LL@RA | III | -I | -II | aVL | aVF | aVR | V
RA@LL LA@RA LL@LA | -II | -III | I | aVF | aVR | aVL | V
LL@RL RL@LL | I | II+D | III+D | aVR-D/2 | aVL-D/2 | aVF+D | V-D/3
RA@RL RL@RA | -III-D | -D | III | III/2+D | -III-D/2 | III/2-D/2 | V-II/3-D/3
LA@RL RL@LA | II+D | II | -D | -II-D/2 | II/2+D | II/2-D/2 | V-III/3-D/3
RA@RL RL@RA LA@LL LL@LA | -D | -III-D | -III | III/2+D | III/2-D/2 | -III-D/2 | V-II/3-D/3
RA@LL LL@RA LA@RL RL@LA | D | -II | -II-D | II/2-D/2 | II/2+D | -II-D/2 | V-III/3-D/3
RA@LA LA@RA LL@RL RL@LL | -I | III+D | II+D | aVL-D/2 | aVR-D/2 | aVF+D | V-D/3
RA@RL LA@RA RL@LA | -II-D | -D | II | II/2+D | -II-D/2 | II/2-D/2 | V-III/3-D/3
RA@LA LA@RL RL@RA | III+D | III | -D | -III-D/2 | III/2+D | III/2-D/2 | V-II/3-D/3
RA@RL LL@RA RL@LL | -III-D | -II-D | -I | aVF+D | aVL-D/2 | aVR-D/2 | V-D/3
RA@LL LL@RL RL@RA | -III | D | III+D | III/2-D/2 | -III-D/2 | III/2+D | V-II/3-D/3
LA@LL LL@RL RL@LA | II | II+D | D | -II-D/2 | II/2-D/2 | II/2+D | V-III/3-D/3
LA@RL LL@LA RL@LL | II+D | I | -III-D | aVR-D/2 | aVF+D | aVL-D/2 | V-D/3
RA@LA LA@LL LL@RL RL@RA | III | III+D | D | -III-D/2 | III/2-D/2 | III/2+D | V-II/3-D/3
RA@LA LA@RL LL@RA RL@LL | III+D | -I | -II-D | aVL-D/2 | aVF+D | aVR-D/2 | V-D/3
RA@LL LA@RA LL@RL RL@LA | -II | D | II+D | II/2-D/2 | -II-D/2 | II/2+D | V-III/3-D/3
RA@LL LA@RL LL@LA RL@RA | D | -III | -III-D | III/2-D/2 | III/2+D | -III-D/2 | V-II/3-D/3
RA@RL LA@RA LL@LA RL@LL | -II-D | -III-D | I | aVF+D | aVR-D/2 | aVL-D/2 | V-D/3
RA@RL LA@LL LL@RA RL@LA | -D | -II-D | -II | II/2+D | II/2-D/2 | -II-D/2 | V-III/3-D/3
"""
ROWS = [tuple(cell.strip() for cell in line.split("|")) for line in TABLE.strip().splitlines()]
PICOVOLTS = 1e-6
"""Potentials here are of the order of 1000 µV and sums have few terms: double precision is far
below this."""


@pytest.fixture(scope="module")
def potentials() -> NDArray[np.float64]:
    return np.random.default_rng(20260302).normal(0.0, 1000.0, (len(ELECTRODES), 400))


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_an_arrangement_of_limb_cables_follows_the_table(
    row: tuple[str, ...], potentials: NDArray[np.float64]
) -> None:
    true = dict(zip(STANDARD_LEADS, leads_from_potentials(potentials), strict=True))
    right_leg, left_leg = ELECTRODES.index(Electrode.RL), ELECTRODES.index(Electrode.LL)
    terms = {str(lead): samples for lead, samples in true.items()}
    terms["D"] = potentials[right_leg] - potentials[left_leg]
    recorded = leads_from_potentials(potentials_at_cables(potentials, _cables(row[0])))
    for lead, samples in zip(STANDARD_LEADS, recorded, strict=True):
        chest = lead.startswith("V")
        formula = row[7] if chest else row[1 + STANDARD_LEADS.index(lead)]
        expected = _sum(formula, terms | ({"V": true[lead]} if chest else {}))
        np.testing.assert_allclose(samples, expected, rtol=0, atol=PICOVOLTS, err_msg=lead)


def test_the_table_holds_every_arrangement_once() -> None:
    listed = {frozenset(_cables(row[0]).items()) for row in ROWS}
    assert listed == {frozenset(cables.items()) for cables in limb_arrangements()}
    assert len(ROWS) == 24


def test_an_exchange_of_chest_cables_only_trades_two_leads(
    potentials: NDArray[np.float64],
) -> None:
    true = leads_from_potentials(potentials)
    assert len(chest_exchanges()) == 15
    for cables in chest_exchanges():
        first, second = (6 + int(cable.value[1]) - 1 for cable in cables)
        expected = true.copy()
        expected[[first, second]] = true[[second, first]]
        recorded = leads_from_potentials(potentials_at_cables(potentials, cables))
        np.testing.assert_allclose(recorded, expected, rtol=0, atol=PICOVOLTS)


def test_a_limb_cable_exchanged_with_a_chest_cable_shifts_the_central_terminal(
    potentials: NDArray[np.float64],
) -> None:
    """RA with C1: the worked example, from δ = V1 − (2/3) aVR."""
    true = dict(zip(STANDARD_LEADS, leads_from_potentials(potentials), strict=True))
    shift = true["V1"] - 2.0 / 3.0 * true["aVR"]
    cables = exchange(Electrode.RA, Electrode.C1)
    recorded = leads_from_potentials(potentials_at_cables(potentials, cables))
    limb = [-shift, -shift, 0.0 * shift, shift, -shift / 2.0, -shift / 2.0]
    for number, change in enumerate(limb):
        expected = true[STANDARD_LEADS[number]] + change
        np.testing.assert_allclose(recorded[number], expected, rtol=0, atol=PICOVOLTS)
    first_chest = 2.0 / 3.0 * true["aVR"] - shift / 3.0
    np.testing.assert_allclose(recorded[6], first_chest, rtol=0, atol=PICOVOLTS)
    for number in range(7, 12):
        expected = true[STANDARD_LEADS[number]] - shift / 3.0
        np.testing.assert_allclose(recorded[number], expected, rtol=0, atol=PICOVOLTS)


def _cables(text: str) -> dict[Electrode, Electrode]:
    pairs = [] if text == "correct" else [item.split("@") for item in text.split()]
    return {Electrode(cable): Electrode(site) for cable, site in pairs}


def _sum(formula: str, terms: dict[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    total = np.zeros_like(terms["D"])
    for sign, name, divisor in re.findall(r"([+-]?)([A-Za-z]+)(?:/(\d))?", formula):
        total = total + (-1.0 if sign == "-" else 1.0) * terms[name] / float(divisor or 1)
    return total
