"""Where a P wave is expected, and what bends too near to the QRS to be one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.unit.waves.conftest import FloatArray

from couchside.simulate import HeartState, random_scenario, simulate
from couchside.waves import delineate
from couchside.waves.agreement import Agreement
from couchside.waves.boundaries_p import LAST_MS, locate_p
from couchside.waves.smooth_waves import MS

QRS_ONSET = 140
"""Sample of the average."""


def look(humps: dict[float, float]) -> tuple[float, bool]:
    """Middle found, ms before the QRS onset, of humps written there with their heights in µV."""
    times = np.arange(375)
    mean: FloatArray = np.zeros((1, 4, times.size))
    for before_ms, height_uv in humps.items():
        mean += height_uv * np.exp(-0.5 * ((times - QRS_ONSET + before_ms / MS) / 5.0) ** 2)
    agreement = Agreement(mean=mean, chance=np.ones((1, times.size)), beats=(mean[0][:, None],))
    last = np.array([QRS_ONSET - round(LAST_MS / MS)])
    middle, found = locate_p(agreement, np.ones(4), np.array([40]), last, np.zeros(1))
    return float((QRS_ONSET - middle[0]) * MS), bool(found[0])


def test_a_low_p_wave_is_preferred_to_a_higher_bend_beside_the_qrs() -> None:
    middle_ms, found = look({104.0: 20.0, 52.0: 24.0})
    assert found
    assert middle_ms == pytest.approx(104.0, abs=MS)


def test_a_p_wave_is_preferred_to_a_bend_of_its_size_long_before() -> None:
    middle_ms, found = look({104.0: 20.0, 300.0: 24.0})
    assert found
    assert middle_ms == pytest.approx(104.0, abs=MS)


@pytest.mark.parametrize("before_ms", [60.0, 120.0, 280.0])
def test_a_wave_alone_is_found_wherever_it_is(before_ms: float) -> None:
    middle_ms, found = look({before_ms: 30.0})
    assert found
    assert middle_ms == pytest.approx(before_ms, abs=MS)


def test_the_foot_of_a_qrs_alone_is_no_p_wave() -> None:
    """Its middle would leave no time from P to QRS."""
    _, found = look({LAST_MS - 8.0: 80.0})
    assert not found


@pytest.mark.parametrize("pr_ms", [90.0, 105.0, 300.0])
def test_a_short_or_long_pr_is_measured_where_it_is(pr_ms: float) -> None:
    """A P wave must not lose to the bend beside itself that is nearer to the expected place."""
    for seed in (9100, 9101, 9102):
        state = HeartState(pr_ms=pr_ms, rate_per_min=60.0)
        recording = simulate(replace(random_scenario(seed), state=state)).recording
        beat = delineate(recording).representative
        assert beat is not None
        found_ms = (beat.overall.qrs_onset - beat.overall.p_onset) * 1000.0 / beat.rate_hz
        assert found_ms == pytest.approx(pr_ms, abs=15.0)
