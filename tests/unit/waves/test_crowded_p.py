"""P waves that the T wave before, or the rhythm, leaves little room."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.measures import MeasureName, measure
from couchside.simulate import HeartState, get_scenario, simulate
from couchside.waves import delineate
from couchside.waves.agreement import Agreement
from couchside.waves.boundaries_p import (
    LEAST_AGREEMENT,
    LEAST_AGREEMENT_UNEVEN,
    UNEVEN,
    locate_p,
)

NEAR_MS = 20.0


@pytest.mark.parametrize("rate_per_min", [100.0, 120.0, 140.0, 160.0])
def test_a_newborns_p_begins_after_the_t_wave_before(rate_per_min: float) -> None:
    scenario = replace(get_scenario("newborn"), state=HeartState(rate_per_min=rate_per_min))
    simulation = simulate(scenario)
    beat = delineate(simulation.recording).representative
    assert beat is not None

    truth, to_ms = simulation.truth.overall, 1000.0 / beat.rate_hz
    exact = float(np.median((truth.qrs_onset - truth.p_onset) * to_ms))
    pr_ms = (beat.overall.qrs_onset - beat.overall.p_onset) * to_ms
    assert pr_ms == pytest.approx(exact, abs=NEAR_MS)


@pytest.mark.parametrize("rate_per_min", [180.0, 190.0])
def test_a_p_on_the_t_wave_before_is_there_but_given_no_onset(rate_per_min: float) -> None:
    scenario = replace(get_scenario("newborn"), state=HeartState(rate_per_min=rate_per_min))
    recording = simulate(scenario).recording
    waves = delineate(recording)
    assert waves.representative is not None
    assert np.isnan(waves.representative.overall.p_onset)
    assert np.isfinite(waves.representative.overall.p_offset)
    assert np.isfinite(waves.p.peak).any(axis=0).mean() > 0.5
    pr = measure(recording, waves).get(MeasureName.PR_INTERVAL)
    assert pr.value is None
    assert pr.reason.startswith("the P wave lies on the T wave")


@pytest.mark.parametrize(
    ("ratio", "unevenness", "there"),
    [
        (2.0 * LEAST_AGREEMENT, 0.5 * UNEVEN, True),
        (2.0 * LEAST_AGREEMENT, 2.0 * UNEVEN, False),
        (2.0 * LEAST_AGREEMENT_UNEVEN, 2.0 * UNEVEN, True),
    ],
)
def test_an_uneven_rhythm_asks_for_more_agreement(
    *, ratio: float, unevenness: float, there: bool
) -> None:
    times = np.arange(375)
    mean = 50.0 * np.exp(-0.5 * ((times - 110) / 10.0) ** 2)[None, None, :].repeat(4, axis=1)
    power = 4.0 * 50.0**2
    agreement = Agreement(mean=mean, chance=np.full((1, times.size), power / ratio))
    _, found = locate_p(
        agreement, np.ones(4), np.array([60]), np.array([140]), np.array([unevenness])
    )
    assert bool(found[0]) is there
