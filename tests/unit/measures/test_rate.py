from __future__ import annotations

import numpy as np
import pytest

from couchside.measures.rate import describe_irregularity, find_mean_rr_s, is_irregular
from couchside.waves import WaveBounds, Waves


def waves_at(beat_samples: list[int]) -> Waves:
    empty = np.full((1, len(beat_samples)), np.nan)
    nowhere = WaveBounds(onset=empty, peak=empty, offset=empty)
    return Waves(
        leads=("II",),
        rate_hz=250.0,
        beat_samples=np.array(beat_samples, dtype=np.int64),
        beat_groups=np.zeros(len(beat_samples), dtype=np.int64),
        p=nowhere,
        qrs=nowhere,
        t=nowhere,
        representative=None,
    )


def test_the_mean_interval_spans_first_to_last_beat() -> None:
    assert find_mean_rr_s(waves_at([100, 300, 600])) == pytest.approx(1.0)


@pytest.mark.parametrize("beats", [[], [400]])
def test_fewer_than_two_beats_have_no_interval(beats: list[int]) -> None:
    assert find_mean_rr_s(waves_at(beats)) is None


def test_a_regular_rhythm_needs_no_word() -> None:
    assert describe_irregularity(waves_at([0, 200, 402, 601, 800, 1003])) == ""


def test_an_irregular_rhythm_is_told_with_its_extremes() -> None:
    waves = waves_at([0, 150, 400, 520, 800, 1000, 1290])
    assert is_irregular(waves)
    assert describe_irregularity(waves) == "; irregular, RR 480 to 1160 ms"


def test_three_beats_are_too_few_to_tell() -> None:
    assert not is_irregular(waves_at([0, 100, 400]))
