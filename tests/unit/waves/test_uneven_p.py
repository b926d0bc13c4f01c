"""P waves where RR is uneven: sinus arrhythmia and premature atrial beats against fibrillation."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from couchside.simulate import HeartState, Rhythm, random_scenario, simulate
from couchside.waves import Waves, delineate
from couchside.waves.agreement import Agreement
from couchside.waves.boundaries_p import (
    EVEN,
    FULL_AGREEMENT,
    LEAST_AGREEMENT,
    UNEVEN,
    locate_p,
)

SEEDS = range(8000, 8008)
UNLIKE, ALIKE = 40.0, 8.0
"""Scatter of the single beats, µV."""


@cache
def delineate_all(state: HeartState) -> list[Waves]:
    people = [replace(random_scenario(seed), state=state) for seed in SEEDS]
    return [delineate(simulate(person).recording) for person in people]


def share_with_p(waves: Waves) -> float:
    """Of the beats but the first, whose P wave may lie before the recording."""
    return float(np.mean(np.isfinite(waves.p.onset[:, 1:]).any(axis=0)))


@pytest.mark.parametrize(
    ("state", "least"),
    [
        (HeartState(sinus_arrhythmia_ms=300.0), 0.98),
        (HeartState(sinus_arrhythmia_ms=200.0, rate_per_min=50.0), 0.98),
        (HeartState(premature_atrial_share=0.3), 0.8),
    ],
)
def test_p_waves_of_an_uneven_sinus_rhythm_are_kept(state: HeartState, least: float) -> None:
    assert np.mean([share_with_p(waves) for waves in delineate_all(state)]) > least


@pytest.mark.parametrize("rate_per_min", [60.0, 85.0, 115.0])
def test_fibrillation_is_given_no_p_waves(rate_per_min: float) -> None:
    state = HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=rate_per_min)
    assert np.mean([share_with_p(waves) for waves in delineate_all(state)]) <= 0.03


@pytest.mark.parametrize(
    ("ratio", "unevenness", "scatter_uv", "there"),
    [
        (1.5 * LEAST_AGREEMENT, 0.9 * EVEN, UNLIKE, True),
        (1.5 * LEAST_AGREEMENT, 2.0 * UNEVEN, UNLIKE, False),
        (1.5 * LEAST_AGREEMENT, 2.0 * UNEVEN, ALIKE, True),
        (2.0 * FULL_AGREEMENT, 2.0 * UNEVEN, UNLIKE, True),
        (0.9 * LEAST_AGREEMENT, 0.9 * EVEN, ALIKE, False),
    ],
)
def test_an_uneven_rhythm_asks_for_beats_that_are_alike(
    *, ratio: float, unevenness: float, scatter_uv: float, there: bool
) -> None:
    times = np.arange(375)
    mean = 50.0 * np.exp(-0.5 * ((times - 110) / 10.0) ** 2)[None, None, :].repeat(4, axis=1)
    scatter = np.random.default_rng(3).normal(0.0, scatter_uv, (10, 4, times.size))
    agreement = Agreement(
        mean=mean,
        chance=np.full((1, times.size), 4.0 * 50.0**2 / ratio),
        beats=(list(mean[0] + scatter),),
    )
    _, found = locate_p(
        agreement, np.ones(4), np.array([60]), np.array([140]), np.array([unevenness])
    )
    assert bool(found[0]) is there


def test_one_beat_alone_is_like_no_other() -> None:
    one = np.ones((1, 4, 9))
    agreement = Agreement(mean=one, chance=np.zeros((1, 9)), beats=([one[0]],))
    assert agreement.find_likeness(0, slice(0, 9), np.ones(4)) == 0.0
