"""From a scenario to a recording, with the truth about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import (
    CHEST_LEADS,
    CHEST_LEADS_AS_PLACED,
    LIMB_LEADS,
    Placement,
    Recording,
)
from couchside.simulate.cables import potentials_at_cables
from couchside.simulate.electrodes import NO_RECORDED_NOISE, RecordedNoises
from couchside.simulate.heart_at_skin import heart_at_skin
from couchside.simulate.recorder import record
from couchside.simulate.scenario import Scenario
from couchside.simulate.skin_to_wire import add_electrodes, draw_lost_leads
from couchside.simulate.telling import tell_truth
from couchside.simulate.truth import Truth

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Simulation:
    """A recording and the truth about it."""

    scenario: Scenario
    recording: Recording
    truth: Truth


def simulate(scenario: Scenario, recorded_noises: RecordedNoises = NO_RECORDED_NOISE) -> Simulation:
    """Make the recording that a scenario describes.

    Parameters
    ----------
    scenario : Scenario
        All about it; the same scenario gives the same samples on every machine.
    recorded_noises : mapping of str to RecordedNoise
        Noise recorded elsewhere, by the names that faults of the kind RECORDED call it by.

    Returns
    -------
    Simulation
        The recording in twelve leads, and the truth.

    Raises
    ------
    InvalidInput
        If a fault calls for recorded noise that is not given.
    """
    skin = heart_at_skin(scenario)
    electrodes = add_electrodes(skin.potentials_uv, scenario, recorded_noises)
    leads = record(potentials_at_cables(electrodes, scenario.cables), scenario.recorder)
    draw_lost_leads(leads, scenario)
    return Simulation(
        scenario=scenario,
        recording=_recording(scenario, leads),
        truth=tell_truth(scenario, skin, electrodes),
    )


def _recording(scenario: Scenario, leads: FloatArray) -> Recording:
    return Recording(
        leads=_lead_names(scenario.placement),
        microvolts=leads,
        rate_hz=scenario.recorder.rate_hz,
        start=scenario.start,
        patient=scenario.patient,
        settings=scenario.recorder.settings,
        placement=scenario.placement,
        device=scenario.device,
        order=scenario.order,
    )


def _lead_names(stated: Placement) -> tuple[str, ...]:
    """A recorder that is told of another placement names its chest leads after it."""
    chest = CHEST_LEADS_AS_PLACED.get(stated, CHEST_LEADS)
    return (*LIMB_LEADS, *chest)
