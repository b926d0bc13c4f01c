"""Everything that happens at the ten electrodes, put together."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.recording import ELECTRODES, Electrode, get_lead_matrix
from couchside.simulate.cables import Cables
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.background import background_uv
from couchside.simulate.electrodes.contact import contacts_uv
from couchside.simulate.electrodes.faults import LOST_CONTACT, FaultKind
from couchside.simulate.electrodes.recorded import RecordedNoises, recorded_uv
from couchside.simulate.electrodes.shapes import fault_uv
from couchside.simulate.scenario import Scenario

FloatArray = NDArray[np.float64]

_IMBALANCE = 0.25
"""With the right leg off, the body floats, and each input keeps its own part of what it picks up:
the spread of that part over the electrodes [from memory]."""


def add_electrodes(clean_uv: FloatArray, scenario: Scenario, noises: RecordedNoises) -> FloatArray:
    """Potentials behind the electrodes.

    Parameters
    ----------
    clean_uv : array of shape (electrode, sample)
        Potentials of the skin, in µV.
    scenario : Scenario
        Contacts, faults and room.
    noises : mapping of str to RecordedNoise
        For faults of the kind RECORDED.

    Returns
    -------
    array of the same shape
    """
    rate_hz, room = scenario.recorder.rate_hz, scenario.room
    seconds = np.arange(clean_uv.shape[1]) / rate_hz
    potentials = clean_uv + background_uv(
        seconds=seconds,
        rate_hz=rate_hz,
        breath_hz=room.breath_per_min / 60.0,
        restlessness=room.restlessness,
        chance=Chance(scenario.seed, "background"),
    )
    potentials += contacts_uv(
        scenario.contacts,
        seconds=seconds,
        rate_hz=rate_hz,
        mains_hz=room.mains_hz,
        wire_current_na=room.wire_current_na,
        chance=Chance(scenario.seed, "contacts"),
    )
    _add_faults(potentials, clean_uv, scenario, noises)
    return potentials


def draw_lost_leads(leads_uv: FloatArray, scenario: Scenario) -> None:
    """Draw the leads of a lost electrode as the recorder does, flat or at its rail, in place.

    An input at its rail stays there, whatever the high-pass filter behind it; a sample that the
    recorder lost stays lost.

    Parameters
    ----------
    leads_uv : array of shape (12, sample)
        As recorded.
    scenario : Scenario
        Its faults of lost contact.
    """
    recorder = scenario.recorder
    drawn_uv = {FaultKind.CONTACT_FLAT: 0.0, FaultKind.CONTACT_RAIL: recorder.rail_uv}
    for fault in scenario.faults:
        if fault.kind not in drawn_uv:
            continue
        weights = _weights(_cable_on(fault.electrode, scenario.cables))
        span = fault.span(leads_uv.shape[1], recorder.rate_hz)
        for lead in np.flatnonzero(weights):
            samples = leads_uv[lead, span]
            samples[~np.isnan(samples)] = np.sign(weights[lead]) * drawn_uv[fault.kind]


def _add_faults(
    potentials: FloatArray, clean_uv: FloatArray, scenario: Scenario, noises: RecordedNoises
) -> None:
    rate_hz = scenario.recorder.rate_hz
    for number, fault in enumerate(scenario.faults):
        row = ELECTRODES.index(fault.electrode)
        chance = Chance(scenario.seed, f"fault {number}")
        if fault.kind in LOST_CONTACT and fault.electrode is not Electrode.RL:
            potentials[row, fault.span(potentials.shape[1], rate_hz)] = 0.0
        if fault.kind is FaultKind.RECORDED:
            potentials[row] += recorded_uv(fault, clean_uv, rate_hz, noises, chance)
            continue
        added = fault_uv(
            fault,
            sample_count=potentials.shape[1],
            rate_hz=rate_hz,
            mains_hz=scenario.room.mains_hz,
            chance=chance,
        )
        if fault.kind is FaultKind.CONTACT_FLOATING and fault.electrode is Electrode.RL:
            potentials += np.outer(_IMBALANCE * chance.normals(len(potentials)), added)
        else:
            potentials[row] += added


def _weights(cable: Electrode) -> FloatArray:
    """How a cable enters the leads; without the right leg's, there is nothing to compare with."""
    if cable is Electrode.RL:
        return np.ones(len(get_lead_matrix()))
    weights: FloatArray = get_lead_matrix()[:, ELECTRODES.index(cable)]
    return weights


def _cable_on(electrode: Electrode, cables: Cables) -> Electrode:
    return next((cable for cable, site in cables.items() if site is electrode), electrode)
