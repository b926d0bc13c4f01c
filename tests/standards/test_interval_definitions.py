"""Intervals over all leads: earliest onset to latest end on the representative beat [AHA2007-I].

P duration: P onset to P end. PR: P onset to QRS onset. QRS: onset to end. QT: QRS onset to T end.
Rate: 60 000 divided by the mean RR interval in ms, over the whole recording. The numbers here are
written into the boundaries, so that each interval is exact.
"""

from __future__ import annotations

import numpy as np
import pytest

from couchside.measures import MeasureName
from couchside.measures.intervals import measure_intervals
from couchside.measures.rate import measure_rate
from couchside.measures.uncertainty import find_scatters
from couchside.waves import GlobalBounds, RepresentativeBeat, WaveBounds, Waves


def waves_with(overall: GlobalBounds, beat_samples: list[int]) -> Waves:
    count = len(beat_samples)
    empty = np.full((1, count), np.nan)
    return Waves(
        leads=("II",),
        rate_hz=500.0,
        beat_samples=np.array(beat_samples, dtype=np.int64),
        beat_groups=np.zeros(count, dtype=np.int64),
        p=WaveBounds(onset=empty, peak=empty, offset=empty),
        qrs=WaveBounds(onset=empty, peak=empty, offset=empty),
        t=WaveBounds(onset=empty, peak=empty, offset=empty),
        representative=RepresentativeBeat(
            leads=("II",),
            microvolts=1000.0 * np.sin(np.arange(750.0))[None],
            rate_hz=500.0,
            fiducial_sample=300,
            beat_count=count,
            p=_own(overall.p_onset, overall.p_offset),
            qrs=_own(overall.qrs_onset, overall.qrs_offset),
            t=_own(overall.qrs_offset, overall.t_offset),
            overall=overall,
            residual_rms_uv=np.ones(1),
        ),
    )


def _own(onset: float, offset: float) -> WaveBounds:
    """The lead's own boundaries, as those over all leads."""
    return WaveBounds(
        onset=np.full(1, onset),
        peak=np.full(1, 0.5 * (onset + offset)),
        offset=np.full(1, offset),
    )


BOUNDS = GlobalBounds(
    p_onset=200.0, p_offset=254.0, qrs_onset=281.0, qrs_offset=327.5, t_offset=476.0
)


def test_every_interval_runs_between_its_two_boundaries() -> None:
    waves = waves_with(BOUNDS, [300, 700, 1100])
    values = {
        measured.name: measured.value for measured in measure_intervals(waves, find_scatters(waves))
    }
    assert values == {
        MeasureName.P_DURATION: pytest.approx(108.0),
        MeasureName.PR_INTERVAL: pytest.approx(162.0),
        MeasureName.QRS_DURATION: pytest.approx(93.0),
        MeasureName.QT_INTERVAL: pytest.approx(390.0),
    }


def test_rate_is_that_of_the_mean_interval_not_the_mean_of_rates() -> None:
    rate = measure_rate(waves_with(BOUNDS, [100, 500, 1300])).value
    # RR 800 and 1600 ms: 60 000 / 1200 = 50; the mean of the rates would be 56.25.
    assert rate == pytest.approx(50.0)
