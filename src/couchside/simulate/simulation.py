"""From a scenario to a recording, with the truth about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import (
    CHEST_LEADS,
    CHEST_LEADS_AS_PLACED,
    LIMB_LEADS,
    Electrode,
    Placement,
    Recording,
    get_lead_matrix,
)
from couchside.simulate.cables import potentials_at_cables
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes import NO_RECORDED_NOISE, RecordedNoises
from couchside.simulate.heart.anatomy import frontal_axis_deg
from couchside.simulate.heart.atria import atrial_waves
from couchside.simulate.heart.beats import DrawnBeats, draw_beats
from couchside.simulate.heart.growth import usual_at
from couchside.simulate.heart.pacing import add_spikes
from couchside.simulate.heart.rhythm import Plan, plan_beats
from couchside.simulate.heart.traits import Heart, heart_of
from couchside.simulate.recorder import record
from couchside.simulate.scenario import Scenario
from couchside.simulate.skin_to_wire import add_electrodes, draw_lost_leads
from couchside.simulate.torso import Site, electrode_vectors, hand_placed, sites_for
from couchside.simulate.truth import HeartTruth, Truth, overall_of
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]

_BREATHING_TILT = 0.035
_BREATHING_FILL = 0.03


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
        The recording in the standard twelve leads, and the truth.

    Raises
    ------
    InvalidInput
        If a fault calls for recorded noise that is not given.
    """
    seed = scenario.seed
    heart = heart_of(scenario.body, scenario.state, Chance(seed, "day"))
    plan = plan_beats(
        heart,
        scenario.state,
        duration_s=scenario.duration_s,
        breath_hz=scenario.room.breath_per_min / 60.0,
        chance=Chance(seed, "rhythm"),
    )
    vectors = electrode_vectors(_sites(scenario))
    drawn, clean = _heart_at_electrodes(scenario, heart, plan, vectors)
    potentials = add_electrodes(clean, scenario, recorded_noises)
    leads = record(potentials_at_cables(potentials, scenario.cables), scenario.recorder)
    draw_lost_leads(leads, scenario)
    clean_leads = get_lead_matrix() @ potentials_at_cables(clean, scenario.cables)
    return Simulation(
        scenario=scenario,
        recording=_recording(scenario, leads),
        truth=_truth(scenario, heart, plan, drawn, clean_leads),
    )


def _sites(scenario: Scenario) -> dict[Electrode, Site]:
    size = usual_at(scenario.body.age_years, scenario.body.sex).torso_size
    aim = sites_for(scenario.true_placement, scenario.shifts, size)
    return hand_placed(aim, scenario.placing_error_cm, Chance(scenario.seed, "placing"))


def _heart_at_electrodes(
    scenario: Scenario, heart: Heart, plan: Plan, vectors: FloatArray
) -> tuple[DrawnBeats, FloatArray]:
    """The drawn beats, and what the heart alone makes of the ten potentials."""
    rate_hz = scenario.recorder.rate_hz
    drawn = draw_beats(
        heart,
        plan,
        sample_count=round(scenario.duration_s * rate_hz),
        rate_hz=rate_hz,
        lead_vectors=get_lead_matrix() @ potentials_at_cables(vectors, scenario.cables),
        chance=Chance(scenario.seed, "beats"),
    )
    sources = drawn.sources_uv
    seconds = np.arange(sources.shape[1]) / rate_hz
    sources[:3] += atrial_waves(
        scenario.state, plan, heart.rate_per_min, seconds, Chance(scenario.seed, "atria")
    )
    add_spikes(sources, plan, rate_hz)
    breath = np.sin(2.0 * np.pi * scenario.room.breath_per_min / 60.0 * seconds)
    return drawn, vectors @ _breathing(sources, breath)


def _breathing(sources: FloatArray, breath: FloatArray) -> FloatArray:
    """Breathing tilts the heart a little, and the lungs' air weakens what reaches the skin."""
    tilt = _BREATHING_TILT * breath
    tilted = sources.copy()
    tilted[0] -= tilt * sources[1]
    tilted[1] += tilt * sources[0]
    tilted *= 1.0 - _BREATHING_FILL * breath
    return tilted


def _truth(
    scenario: Scenario, heart: Heart, plan: Plan, drawn: DrawnBeats, clean_leads: FloatArray
) -> Truth:
    p, qrs, t = (
        WaveBounds(onset=marks[0], peak=marks[1], offset=marks[2]) for marks in drawn.marks
    )
    has_p = any(beat.pr_s is not None for beat in drawn.beats)
    return Truth(
        heart=HeartTruth(
            rate_per_min=heart.rate_per_min,
            pr_ms=heart.pr_ms if has_p else None,
            p_ms=heart.p_ms if has_p else None,
            qrs_ms=heart.usual_beat.qrs_ms,
            qtc_ms=heart.qtc_ms,
            qrs_axis_deg=frontal_axis_deg(heart.usual_beat.qrs, heart.usual_beat.qrs_way),
        ),
        beat_samples=_beat_samples(qrs, clean_leads),
        beat_kinds=tuple(beat.kind for beat in drawn.beats),
        p=p,
        qrs=qrs,
        t=t,
        overall=overall_of(p, qrs, t),
        lone_p_onsets=_within(plan.lone_p_onsets_s, scenario),
        faults=scenario.faults,
        contacts=scenario.contacts,
        cables=scenario.cables,
        placement=scenario.true_placement,
        shifts=scenario.shifts,
        clean_microvolts=clean_leads,
    )


def _within(moments_s: tuple[float, ...], scenario: Scenario) -> FloatArray:
    samples = np.array(moments_s) * scenario.recorder.rate_hz
    inside: FloatArray = samples[
        (samples >= 0.0) & (samples < scenario.duration_s * scenario.recorder.rate_hz)
    ]
    return inside


def _beat_samples(qrs: WaveBounds, clean_leads: FloatArray) -> FloatArray:
    """Where the leads together deflect most, one sample for each beat."""
    overall = overall_of(qrs, qrs, qrs)
    strength = (clean_leads**2).sum(axis=0)
    samples = [
        int(onset) + int(strength[int(onset) : int(offset) + 1].argmax())
        for onset, offset in zip(overall.qrs_onset, overall.qrs_offset, strict=True)
    ]
    return np.array(samples, dtype=np.float64)


def _lead_names(stated: Placement) -> tuple[str, ...]:
    """A recorder that is told of another placement names its chest leads after it."""
    chest = CHEST_LEADS_AS_PLACED.get(stated, CHEST_LEADS)
    return (*LIMB_LEADS, *chest)


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
