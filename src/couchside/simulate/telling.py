"""Tells the truth about a simulated recording, from what it was made of."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.recording import get_lead_matrix
from couchside.simulate.cables import potentials_at_cables
from couchside.simulate.heart.anatomy import frontal_axis_deg
from couchside.simulate.heart_at_skin import HeartAtSkin
from couchside.simulate.scenario import Scenario
from couchside.simulate.truth import HeartTruth, Truth, overall_of
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]


def tell_truth(scenario: Scenario, skin: HeartAtSkin, electrodes_uv: FloatArray) -> Truth:
    """What is so in a recording.

    Parameters
    ----------
    scenario : Scenario
        What was asked for.
    skin : HeartAtSkin
        What the heart made.
    electrodes_uv : array of shape (electrode, sample)
        What the electrodes made of it.
    """
    p, qrs, t = (
        WaveBounds(onset=marks[0], peak=marks[1], offset=marks[2]) for marks in skin.drawn.marks
    )
    clean = get_lead_matrix() @ potentials_at_cables(skin.potentials_uv, scenario.cables)
    noise = electrodes_uv - skin.potentials_uv
    return Truth(
        heart=_tell_heart(skin),
        beat_samples=_beat_samples(qrs, clean),
        beat_kinds=tuple(beat.kind for beat in skin.drawn.beats),
        p=p,
        qrs=qrs,
        t=t,
        overall=overall_of(p, qrs, t),
        lone_p_onsets=_within(skin.plan.lone_p_onsets_s, scenario),
        faults=scenario.faults,
        contacts=scenario.contacts,
        cables=scenario.cables,
        placement=scenario.true_placement,
        shifts=scenario.shifts,
        clean_microvolts=clean,
        electrode_noise_uv=noise - noise.mean(axis=1, keepdims=True),
    )


def _tell_heart(skin: HeartAtSkin) -> HeartTruth:
    heart, usual = skin.heart, skin.heart.usual_beat
    has_p = any(beat.pr_s is not None for beat in skin.drawn.beats)
    return HeartTruth(
        rate_per_min=heart.rate_per_min,
        pr_ms=heart.pr_ms if has_p else None,
        p_ms=heart.p_ms if has_p else None,
        qrs_ms=usual.qrs_ms,
        qtc_ms=heart.qtc_ms,
        qrs_axis_deg=frontal_axis_deg(usual.qrs, usual.qrs_way),
    )


def _beat_samples(qrs: WaveBounds, clean_leads: FloatArray) -> FloatArray:
    """Where the leads together deflect most, one sample for each beat."""
    overall = overall_of(qrs, qrs, qrs)
    strength = (clean_leads**2).sum(axis=0)
    samples = [
        int(onset) + int(strength[int(onset) : int(offset) + 1].argmax())
        for onset, offset in zip(overall.qrs_onset, overall.qrs_offset, strict=True)
    ]
    return np.array(samples, dtype=np.float64)


def _within(moments_s: tuple[float, ...], scenario: Scenario) -> FloatArray:
    samples = np.array(moments_s) * scenario.recorder.rate_hz
    last = scenario.duration_s * scenario.recorder.rate_hz
    inside: FloatArray = samples[(samples >= 0.0) & (samples < last)]
    return inside
