from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.recording import ELECTRODES, Electrode
from couchside.simulate import another_visit, get_scenario, random_scenario, simulate


def test_another_visit_is_the_same_heart_later() -> None:
    first = get_scenario("good")
    later = another_visit(first, days=400.0)
    assert first.start is not None
    assert later.start is not None
    assert (later.start - first.start).days == 400
    assert later.body.heart_seed == first.body.heart_seed
    assert later.body.age_years == pytest.approx(first.body.age_years + 1.095, abs=0.001)
    hearts = simulate(first).truth.heart, simulate(later).truth.heart
    assert hearts[0] != hearts[1]
    assert hearts[1].qrs_ms == pytest.approx(hearts[0].qrs_ms, abs=1.0)
    assert hearts[1].qrs_axis_deg == pytest.approx(hearts[0].qrs_axis_deg, abs=15.0)


def test_each_visit_has_its_own_seed() -> None:
    first = get_scenario("good")
    seeds = {another_visit(first, days=days).seed for days in (-7.0, 0.01, 7.0, 8.0, 365.0)}
    assert len(seeds | {first.seed}) == 6


def test_the_noise_of_the_electrodes_is_told() -> None:
    """By it and the clean leads, the recorder apart, the recording can be put together again."""
    truth = simulate(get_scenario("mains-on-v3")).truth
    spread = dict(zip(ELECTRODES, truth.electrode_noise_uv.std(axis=1), strict=True))
    assert spread[Electrode.C3] == pytest.approx(350.0 / np.sqrt(8.0), rel=0.3)
    assert max(spread[each] for each in ELECTRODES if each is not Electrode.C3) < 60.0
    quiet = simulate(
        replace(random_scenario(1), room=replace(random_scenario(1).room, restlessness=0.0))
    )
    assert quiet.truth.electrode_noise_uv.std(axis=1).max() < 5.0
