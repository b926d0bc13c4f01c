"""Nine times in ten a change of rate or axis by chance alone lies within its half-width."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import trim_mean
from tests.unit.serial.conftest import examine

from couchside.measures import MeasureName
from couchside.measures.axes import AXES, WaveSpan, find_net_uv, frontal_angle_deg
from couchside.serial import Examined, compare
from couchside.serial.changes import find_changes
from couchside.serial.half_widths import (
    RATE_WANDER,
    find_axis_half_widths,
    find_half_width_deg,
    find_rate_half_width,
)
from couchside.simulate import random_scenario, simulate
from couchside.waves import Waves

BEATS, SAMPLES = 10, 60
SPAN = WaveSpan(start=20, end=39, level=(20.0, 20.0))
RATE_AND_AXES = {MeasureName.HEART_RATE, *AXES}


def test_two_pieces_of_one_recording_differ_by_no_more_than_chance() -> None:
    """One heart, twenty seconds, cut in two: nothing has changed."""
    within, half_widths = [], []
    for seed in range(300, 304):
        whole = simulate(replace(random_scenario(seed), duration_s=20.0)).recording
        middle = whole.sample_count // 2
        pieces = whole.microvolts[:, :middle], whole.microvolts[:, middle:]
        old, new = (examine(replace(whole, microvolts=piece)) for piece in pieces)
        for each in find_changes(new, old):
            if each.name in RATE_AND_AXES and each.change is not None:
                assert each.uncertainty is not None
                within.append(abs(each.change) <= each.uncertainty)
                half_widths.append(each.uncertainty)
    assert len(within) > 12
    assert np.mean(within) >= 0.85
    assert np.median(half_widths) < 10.0, "they are of use"


def test_an_axis_lies_within_its_half_width_nine_times_in_ten_for_noise_of_beats() -> None:
    """Areas that differ by independent noise, averaged as beats are."""
    chance = np.random.default_rng(4)
    clean = np.zeros((2, SAMPLES))
    clean[:, SPAN.start + 1 : SPAN.end + 1] = [[300.0], [200.0]]
    truth = frontal_angle_deg(*find_net_uv(clean, SPAN).tolist())
    within = []
    for _ in range(400):
        beats = clean + 60.0 * chance.standard_normal((BEATS, 2, 1)) * (clean != 0)
        average = trim_mean(beats, 0.25, axis=0)
        axis = frontal_angle_deg(*find_net_uv(average, SPAN).tolist())
        within.append(abs(axis - truth) <= find_half_width_deg(beats, SPAN))
    assert 0.86 <= np.mean(within) <= 0.95


def test_a_small_vector_points_less_surely() -> None:
    chance = np.random.default_rng(5)
    noise = 30.0 * chance.standard_normal((BEATS, 2, 1))
    is_wave = np.arange(SAMPLES) > SPAN.start
    large, small = (find_half_width_deg((size + noise) * is_wave, SPAN) for size in (400.0, 40.0))
    assert small > 5.0 * large
    assert find_half_width_deg(np.zeros((BEATS, 2, SAMPLES)), SPAN) == 180.0


def test_a_scattered_rate_is_less_sure(earlier: Examined) -> None:
    waves = earlier.assessment.waves
    steady, scattered = (_with_beats(waves, every) for every in ([400] * 11, [300, 500] * 6))
    surely, less_surely = (find_rate_half_width(each) for each in (steady, scattered))
    assert surely == pytest.approx(RATE_WANDER * 60.0 * waves.rate_hz / 400.0)
    assert surely is not None
    assert less_surely is not None
    assert less_surely > 2.0 * surely
    assert find_rate_half_width(_with_beats(waves, [400, 400])) is None


def test_without_beats_or_limb_leads_nothing_is_known(earlier: Examined) -> None:
    recording = earlier.recording
    chest = replace(recording, leads=recording.leads[6:], microvolts=recording.microvolts[6:])
    flat = replace(recording, microvolts=np.zeros_like(recording.microvolts))
    for each in (chest, flat):
        assert set(find_axis_half_widths(examine(each)).values()) == {None}


def test_each_change_of_rate_and_axes_carries_one(earlier: Examined, later: Examined) -> None:
    found = {each.name: each.uncertainty for each in compare(later, earlier).changes}
    for name in RATE_AND_AXES:
        assert 0.0 < (found[name] or 0.0) < 45.0


def _with_beats(waves: Waves, intervals: list[int]) -> Waves:
    return replace(waves, beat_samples=np.cumsum([100, *intervals]))
