"""Beats found span by span are those found in the whole, each of them once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.recording import Recording
from couchside.simulate import HeartState, get_scenario, simulate
from couchside.waves import delineate
from couchside.waves.long import OVERLAP_S, Span, find_beats_in_spans
from couchside.waves.series import cut_series, find_silent_spans, series_of

SECONDS = 120.0
SPAN_S = 40.0
SAME_BEAT_S = 0.03


@pytest.fixture(scope="module")
def recording() -> Recording:
    """Two minutes of a simulated heart with premature ventricular beats, three leads."""
    scenario = replace(
        get_scenario("good"),
        duration_s=SECONDS,
        state=HeartState(premature_ventricular_share=0.12),
    )
    whole = simulate(scenario).recording
    rows = [whole.leads.index(lead) for lead in ("II", "V1", "V5")]
    return replace(whole, leads=("II", "V1", "V5"), microvolts=whole.microvolts[rows])


def _spans(recording: Recording, overlap_s: float = OVERLAP_S) -> list[Span]:
    spans, start = [], 0.0
    while start < recording.duration_s - overlap_s:
        first = round(start * recording.rate_hz)
        stop = min(round((start + SPAN_S) * recording.rate_hz), recording.sample_count)
        part = replace(recording, microvolts=recording.microvolts[:, first:stop])
        spans.append(Span(start_s=first / recording.rate_hz, recording=part))
        start += SPAN_S - overlap_s
    return spans


def test_each_beat_is_found_once(recording: Recording) -> None:
    whole = series_of(recording, delineate(recording))

    joined = find_beats_in_spans(_spans(recording))

    assert joined.times_s.size == whole.times_s.size
    assert np.abs(joined.times_s - whole.times_s).max() < SAME_BEAT_S
    assert joined.rr_is_known.all()


def test_shapes_keep_their_group_through_all_spans(recording: Recording) -> None:
    whole = series_of(recording, delineate(recording))

    joined = find_beats_in_spans(_spans(recording))

    agree = (joined.groups == 0) == (whole.groups == 0)
    assert 0 < (joined.groups != 0).sum() < joined.groups.size / 2
    assert agree.mean() > 0.97


def test_one_span_is_the_whole(recording: Recording) -> None:
    whole = series_of(recording, delineate(recording))

    joined = find_beats_in_spans([Span(start_s=100.0, recording=recording)])

    np.testing.assert_allclose(joined.times_s, 100.0 + whole.times_s)


def test_gap_between_spans_leaves_an_unknown_interval(recording: Recording) -> None:
    first, second, *_ = _spans(recording, overlap_s=0.0)
    later = Span(start_s=second.start_s + 30.0, recording=second.recording)

    joined = find_beats_in_spans([first, later])

    assert (~joined.rr_is_known).sum() == 1
    longest = np.diff(joined.times_s)[joined.rr_is_known].max()
    assert longest < 3.0


def test_spans_out_of_order_are_refused(recording: Recording) -> None:
    first, second, *_ = _spans(recording)

    with pytest.raises(InvalidInput, match="not after the one before"):
        find_beats_in_spans([second, first])


def test_nothing_in_nothing_out() -> None:
    joined = find_beats_in_spans([])

    assert joined.times_s.size == 0
    assert joined.rr_is_known.size == 0


def test_stretch_without_signal_makes_no_pause(recording: Recording) -> None:
    samples = recording.microvolts.copy()
    first, stop = (round(second * recording.rate_hz) for second in (30.0, 37.0))
    samples[:, first:stop] = np.nan
    with_gap = replace(recording, microvolts=samples)

    series = series_of(with_gap, delineate(with_gap))

    spans_s = find_silent_spans(with_gap)
    assert spans_s == [pytest.approx((30.0, 37.0), abs=0.01)]
    rr_s = np.diff(series.times_s)
    assert not series.rr_is_known[rr_s > 5.0].any()
    assert rr_s[series.rr_is_known].max() < 3.0


def test_cut_keeps_what_lies_inside(recording: Recording) -> None:
    whole = series_of(recording, delineate(recording))

    part = cut_series(whole, 20.0, 40.0)

    inside = (whole.times_s >= 20.0) & (whole.times_s < 40.0)
    assert part.times_s.size == inside.sum()
    assert part.rr_is_known.size == part.times_s.size - 1
