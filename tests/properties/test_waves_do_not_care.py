"""What must make no difference to the waves, or move them in a known way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from couchside.recording import Recording
from couchside.simulate import random_scenario, simulate
from couchside.waves import Waves, delineate

SEEDS = st.integers(min_value=0, max_value=200)
FEW = settings(max_examples=15, deadline=None)


def recording_of(seed: int) -> Recording:
    return simulate(random_scenario(seed)).recording


def assert_same(first: Waves, second: Waves, *, tolerance: float, shift: float = 0.0) -> None:
    assert first.beat_samples + shift == pytest.approx(second.beat_samples, abs=max(tolerance, 1.0))
    for one, other in ((first.p, second.p), (first.qrs, second.qrs), (first.t, second.t)):
        for name in ("onset", "peak", "offset"):
            expected, found = getattr(one, name) + shift, getattr(other, name)
            both = np.isfinite(expected) & np.isfinite(found)
            # Where the average of a lone beat stands right at a limit, its wave may come or go.
            assert (np.isfinite(expected) == np.isfinite(found)).mean() > 0.7
            assert np.abs(expected - found)[both].max(initial=0.0) <= tolerance


@FEW
@given(seed=SEEDS, level_uv=st.floats(min_value=-50_000.0, max_value=50_000.0))
def test_a_constant_changes_nothing(seed: int, level_uv: float) -> None:
    recording = recording_of(seed)
    lifted = replace(recording, microvolts=recording.microvolts + level_uv)
    # Rounding of the sum may move a crossing by a hair.
    assert_same(delineate(recording), delineate(lifted), tolerance=0.01)


@FEW
@given(seed=SEEDS, factor=st.floats(min_value=0.5, max_value=4.0))
def test_gain_changes_nothing(seed: int, factor: float) -> None:
    recording = recording_of(seed)
    scaled = replace(recording, microvolts=recording.microvolts * factor)
    first, second = delineate(recording), delineate(scaled)
    assert first.beat_groups.tolist() == second.beat_groups.tolist()
    # Only the least size of a P wave is counted in µV: where all are near that, all may come or go.
    if np.isfinite(first.p.onset).any() == np.isfinite(second.p.onset).any():
        assert_same(first, second, tolerance=0.01)


@FEW
@given(seed=SEEDS)
def test_turning_all_leads_over_changes_nothing(seed: int) -> None:
    recording = recording_of(seed)
    turned = replace(recording, microvolts=-recording.microvolts)
    assert_same(delineate(recording), delineate(turned), tolerance=0.01)


@FEW
@given(seed=SEEDS, order=st.permutations(range(12)))
def test_the_order_of_leads_moves_rows_and_nothing_else(seed: int, order: list[int]) -> None:
    recording = recording_of(seed)
    mixed = replace(
        recording,
        leads=tuple(recording.leads[row] for row in order),
        microvolts=recording.microvolts[order],
    )
    first, second = delineate(recording), delineate(mixed)
    assert first.beat_samples.tolist() == second.beat_samples.tolist()
    for one, other in ((first.p, second.p), (first.qrs, second.qrs), (first.t, second.t)):
        # Sums over leads in another order differ in the last digits.
        assert np.allclose(one.onset[order], other.onset, atol=0.01, equal_nan=True)
        assert np.allclose(one.offset[order], other.offset, atol=0.01, equal_nan=True)


@FEW
@given(seed=SEEDS, cut=st.integers(min_value=1, max_value=120))
def test_starting_later_moves_everything_back(seed: int, cut: int) -> None:
    recording = recording_of(seed)
    first = delineate(recording)
    if first.beat_samples[0] < 400:
        return
    later = replace(recording, microvolts=recording.microvolts[:, cut:])
    second = delineate(later)
    assert first.beat_samples - cut == pytest.approx(second.beat_samples, abs=3.0)
    # Filters see another stretch, and blocks of samples begin elsewhere: a few ms.
    for one, other in ((first.qrs, second.qrs), (first.t, second.t)):
        difference = one.offset[:, 1:-1] - cut - other.offset[:, 1:-1]
        assert np.nanmedian(np.abs(difference)) < 4.0
