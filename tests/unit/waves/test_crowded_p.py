"""P waves that the T wave before leaves little room."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.measures import MeasureName, measure
from couchside.simulate import HeartState, get_scenario, simulate
from couchside.waves import delineate

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
