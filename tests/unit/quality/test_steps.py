"""Jumps of what is left once the beats are taken out."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.quality.model import Band, FindingKind
from couchside.quality.signals import Signals, weigh_bands
from couchside.quality.steps import jumps_in_windows, measure_steps
from couchside.quality.thresholds import NOTICED_UV

RATE_HZ, SAMPLES, WINDOW_SAMPLES = 500.0, 5000, 250
QRS = slice(2590, 2640)


def _signals(jump_uv: float, *, at: int = 2600, under_qrs: bool = False) -> Signals:
    """Three leads of which the second jumps up and the third half as far down."""
    movement = np.random.default_rng(2).normal(0.0, 2.0, (3, SAMPLES))
    movement[1, at:] += jump_uv
    movement[2, at:] -= 0.5 * jump_uv
    quiet = np.ones(SAMPLES, dtype=bool)
    quiet[QRS] = not under_qrs
    noise = {Band.MOVEMENT: movement, Band.MUSCLE: np.full(movement.shape, 1.0)}
    return Signals(
        leads=("I", "V1", "V2"),
        rate_hz=RATE_HZ,
        microvolts=movement,
        missing=np.zeros(movement.shape, dtype=bool),
        noise=noise,
        moments=weigh_bands(noise, quiet, RATE_HZ),
        quiet=quiet,
        mains_hz=0.0,
        high_over_low=np.ones(3),
    )


@pytest.mark.parametrize("under_qrs", [False, True])
def test_a_jump_is_as_large_as_the_change_in_its_window_and_leads(*, under_qrs: bool) -> None:
    steps_uv = measure_steps(_signals(900.0, under_qrs=under_qrs))
    expected = np.zeros((3, SAMPLES // WINDOW_SAMPLES))
    expected[1:, 2600 // WINDOW_SAMPLES] = 900.0, 450.0
    np.testing.assert_allclose(steps_uv, expected, atol=8.0)


def test_a_lead_whose_level_changes_by_less_than_is_noticed_has_none() -> None:
    steps_uv = measure_steps(_signals(1.2 * NOTICED_UV[FindingKind.POP]))
    assert steps_uv[1].any()
    assert not steps_uv[[0, 2]].any()


def test_a_jump_is_signed_and_seen_in_every_lead_at_its_moment() -> None:
    windows = np.zeros(SAMPLES // WINDOW_SAMPLES, dtype=bool)
    windows[2600 // WINDOW_SAMPLES] = True
    found = jumps_in_windows(_signals(900.0), windows, np.array([False, True, False]))
    np.testing.assert_allclose(found[:, 0], [0.0, 900.0, -450.0], atol=10.0)
