"""From a scenario to a recording, with the truth about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import (
    ELECTRODES,
    STANDARD_LEADS,
    Electrode,
    Recording,
    get_lead_matrix,
)
from couchside.simulate.cables import Cables, potentials_at_cables
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes import Fault, FaultKind, background_uv, fault_uv
from couchside.simulate.heart.beats import DrawnBeats, draw_beats
from couchside.simulate.heart.rhythm import BeatKind, plan_beats
from couchside.simulate.heart.traits import heart_of
from couchside.simulate.recorder import record
from couchside.simulate.scenario import Scenario
from couchside.simulate.torso import standard_electrode_vectors
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]

_RAIL_UV = 1_000_000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Truth:
    """What is so in a simulated recording.

    Parameters
    ----------
    beat_samples : array of shape (beat,)
        Onset of each QRS over all leads, in samples.
    beat_kinds : tuple of BeatKind
        Where each beat comes from.
    p, qrs, t : WaveBounds
        Arrays of shape (lead, beat) in samples, NaN where a wave is absent or cut off.
    faults : tuple of Fault
        As put in.
    cables : mapping of Electrode to Electrode
        Displaced cables and the electrode that each hangs on.
    rate_per_min, pr_ms, qrs_ms, qtc_ms : float
        As the heart was set; `qtc_ms` by Fridericia.
    """

    beat_samples: FloatArray
    beat_kinds: tuple[BeatKind, ...]
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds
    faults: tuple[Fault, ...]
    cables: Cables
    rate_per_min: float
    pr_ms: float
    qrs_ms: float
    qtc_ms: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Simulation:
    """A recording and the truth about it."""

    scenario: Scenario
    recording: Recording
    truth: Truth


def simulate(scenario: Scenario) -> Simulation:
    """Make the recording that a scenario describes.

    Parameters
    ----------
    scenario : Scenario
        All about it; the same scenario gives the same samples on every machine.

    Returns
    -------
    Simulation
        The recording in the standard twelve leads, and the truth.
    """
    rate_hz = scenario.recorder.rate_hz
    sample_count = round(scenario.duration_s * rate_hz)
    heart = heart_of(scenario.body, scenario.state)
    breath_hz = scenario.room.breath_per_min / 60.0
    vectors = standard_electrode_vectors()
    lead_vectors = get_lead_matrix() @ potentials_at_cables(vectors, scenario.cables)
    beats = plan_beats(
        heart, scenario.state, scenario.duration_s, breath_hz, Chance(scenario.seed, "rhythm")
    )
    drawn = draw_beats(
        heart, beats, sample_count=sample_count, rate_hz=rate_hz, lead_vectors=lead_vectors
    )
    potentials = vectors @ _breathing(drawn, rate_hz, breath_hz)
    potentials += background_uv(
        sample_count=sample_count,
        rate_hz=rate_hz,
        mains_hz=scenario.room.mains_hz,
        breath_hz=breath_hz,
        chance=Chance(scenario.seed, "background"),
    )
    _add_faults(potentials, scenario)
    leads = record(potentials_at_cables(potentials, scenario.cables), scenario.recorder)
    _draw_lost_leads_flat(leads, scenario)
    truth = Truth(
        beat_samples=np.array([beat.qrs_onset_s * rate_hz for beat in drawn.beats]),
        beat_kinds=tuple(beat.kind for beat in drawn.beats),
        p=drawn.p,
        qrs=drawn.qrs,
        t=drawn.t,
        faults=scenario.faults,
        cables=scenario.cables,
        rate_per_min=heart.rate_per_min,
        pr_ms=heart.pr_ms,
        qrs_ms=heart.qrs_ms,
        qtc_ms=heart.qtc_ms,
    )
    return Simulation(scenario=scenario, recording=_recording(scenario, leads), truth=truth)


def _breathing(drawn: DrawnBeats, rate_hz: float, breath_hz: float) -> FloatArray:
    """Breathing tilts the heart a little and fills the lungs."""
    time_s = np.arange(drawn.dipole_uv.shape[1]) / rate_hz
    breath = np.sin(2.0 * np.pi * breath_hz * time_s)
    x, y, z = drawn.dipole_uv
    tilt, fill = 0.035 * breath, 1.0 - 0.03 * breath
    tilted: FloatArray = fill * np.array([x - tilt * y, y + tilt * x, z])
    return tilted


def _add_faults(potentials: FloatArray, scenario: Scenario) -> None:
    rate_hz = scenario.recorder.rate_hz
    for number, fault in enumerate(scenario.faults):
        row = ELECTRODES.index(fault.electrode)
        span = _span(fault, potentials.shape[1], rate_hz)
        if fault.kind is FaultKind.CONTACT_RAIL:
            potentials[row, span] = _RAIL_UV
            continue
        if fault.kind is FaultKind.CONTACT_FLOATING:
            potentials[row, span] = 0.0
        potentials[row] += fault_uv(
            fault,
            sample_count=potentials.shape[1],
            rate_hz=rate_hz,
            mains_hz=scenario.room.mains_hz,
            chance=Chance(scenario.seed, f"fault {number}"),
        )


def _draw_lost_leads_flat(leads: FloatArray, scenario: Scenario) -> None:
    for fault in scenario.faults:
        if fault.kind is FaultKind.CONTACT_FLAT:
            cable = _cable_on(fault.electrode, scenario.cables)
            enters = get_lead_matrix()[:, ELECTRODES.index(cable)] != 0.0
            leads[enters, _span(fault, leads.shape[1], scenario.recorder.rate_hz)] = 0.0


def _cable_on(electrode: Electrode, cables: Cables) -> Electrode:
    return next(
        (cable for cable, site in cables.items() if site is electrode),
        electrode,
    )


def _span(fault: Fault, sample_count: int, rate_hz: float) -> slice:
    end = sample_count if fault.end_s is None else round(fault.end_s * rate_hz)
    return slice(round(fault.start_s * rate_hz), end)


def _recording(scenario: Scenario, leads: FloatArray) -> Recording:
    return Recording(
        leads=tuple(STANDARD_LEADS),
        microvolts=leads,
        rate_hz=scenario.recorder.rate_hz,
        start=scenario.start,
        patient=scenario.patient,
        settings=scenario.recorder.settings,
        placement=scenario.placement,
        device=scenario.device,
        order=scenario.order,
    )
