"""RR intervals, pauses, early and wide beats, from beats whose times are written down."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from couchside.measures.rhythm import MOST_LISTED, measure_rhythm
from couchside.waves.series import BeatSeries


def _series(
    rr_ms: Sequence[float],
    *,
    groups: Sequence[int] | None = None,
    qrs_ms: Sequence[float] | None = None,
    unknown: Sequence[int] = (),
) -> BeatSeries:
    times_s = np.concatenate(([0.5], 0.5 + np.cumsum(rr_ms) / 1000.0))
    known = np.ones(len(rr_ms), dtype=np.bool_)
    known[list(unknown)] = False
    return BeatSeries(
        times_s=times_s,
        groups=np.array(groups if groups is not None else [0] * times_s.size, dtype=np.int64),
        qrs_ms=np.array(qrs_ms if qrs_ms is not None else [90.0] * times_s.size),
        rr_is_known=known,
    )


def test_mean_range_variation_and_rmssd() -> None:
    rr_ms = [800.0, 900.0, 1000.0, 900.0]

    rhythm = measure_rhythm(_series(rr_ms))

    assert rhythm.beat_count == 5
    assert rhythm.mean_rr_ms == pytest.approx(900.0)
    assert rhythm.variation == pytest.approx(np.std(rr_ms) / 900.0)
    assert rhythm.rmssd_ms == pytest.approx(100.0)
    assert rhythm.shortest is not None
    assert rhythm.longest is not None
    assert (rhythm.shortest.rr_ms, rhythm.shortest.from_s) == pytest.approx((800.0, 0.5))
    assert (rhythm.longest.rr_ms, rhythm.longest.from_s) == pytest.approx((1000.0, 2.2))


def test_pause_is_listed_with_its_time() -> None:
    rhythm = measure_rhythm(_series([800.0] * 5 + [2400.0] + [800.0] * 5))

    assert rhythm.pause_count == 1
    assert rhythm.pauses[0].from_s == pytest.approx(4.5)
    assert rhythm.pauses[0].rr_ms == pytest.approx(2400.0)


def test_stretch_without_signal_is_no_pause() -> None:
    rhythm = measure_rhythm(_series([800.0] * 5 + [4000.0] + [800.0] * 5, unknown=[5]))

    assert rhythm.pause_count == 0
    assert rhythm.longest is not None
    assert rhythm.longest.rr_ms == pytest.approx(800.0)
    assert rhythm.rr_ms.size == 10


def test_early_wide_beat_is_described() -> None:
    rr_ms = [1000.0] * 6 + [680.0, 1320.0] + [1000.0] * 6
    groups = [0] * 7 + [1] + [0] * 7
    qrs_ms = [90.0] * 7 + [150.0] + [90.0] * 7

    rhythm = measure_rhythm(_series(rr_ms, groups=groups, qrs_ms=qrs_ms))

    assert [note.words for note in rhythm.notes] == ["early by 32 %, wide (150 ms)"]
    assert rhythm.notes[0].at_s == pytest.approx(7.18)
    assert [(group.number, group.count) for group in rhythm.groups] == [(0, 14), (1, 1)]


def test_every_second_beat_early_is_told() -> None:
    rr_ms = [500.0, 1100.0] * 8
    groups = [0] + [1, 0] * 8

    rhythm = measure_rhythm(_series(rr_ms, groups=groups))

    assert rhythm.note_count == 8
    assert rhythm.notes[0].early_share == pytest.approx(1 - 500 / 800, abs=0.01)


def test_irregular_rhythm_has_no_early_beats() -> None:
    rr_ms = np.random.default_rng(7).uniform(400.0, 1200.0, 60)

    rhythm = measure_rhythm(_series(rr_ms.tolist()))

    assert rhythm.irregular_share is not None
    assert rhythm.irregular_share > 0.9
    assert rhythm.note_count <= 3


def test_rate_that_changes_slowly_is_steady() -> None:
    rr_ms = 800.0 + 250.0 * np.sin(np.arange(300) / 40.0)

    rhythm = measure_rhythm(_series(rr_ms.tolist()))

    assert rhythm.irregular_share == 0.0
    assert rhythm.note_count == 0


def test_wide_leading_group_is_not_noted_beat_by_beat() -> None:
    rhythm = measure_rhythm(_series([800.0] * 10, qrs_ms=[150.0] * 11))

    assert rhythm.note_count == 0
    assert rhythm.groups[0].qrs_ms == pytest.approx(150.0)


def test_lists_are_cut_and_counts_are_not() -> None:
    rhythm = measure_rhythm(_series([2500.0] * (MOST_LISTED + 40)))

    assert rhythm.pause_count == MOST_LISTED + 40
    assert len(rhythm.pauses) == MOST_LISTED


@pytest.mark.parametrize(
    ("count", "reason"), [(0, "no beats were found"), (1, "only one beat was found")]
)
def test_too_few_beats_give_the_reason(count: int, reason: str) -> None:
    series = BeatSeries(
        times_s=np.arange(count, dtype=np.float64),
        groups=np.zeros(count, dtype=np.int64),
        qrs_ms=np.full(count, 90.0),
        rr_is_known=np.empty(0, dtype=np.bool_),
    )

    rhythm = measure_rhythm(series)

    assert rhythm.reason == reason
    assert rhythm.mean_rr_ms is None
    assert rhythm.longest is None


@pytest.mark.parametrize("count", [1, 2, 3])
def test_few_intervals_are_measured_without_notes(count: int) -> None:
    rhythm = measure_rhythm(_series([800.0, 400.0, 900.0][:count]))

    assert rhythm.mean_rr_ms is not None
    assert rhythm.note_count == 0
    assert rhythm.irregular_share is None
