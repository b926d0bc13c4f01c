"""Whatever a recording holds, the check gives an assessment that holds together."""

from __future__ import annotations

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from couchside.quality import Assessment, Verdict, check
from couchside.recording import Lead, Recording

_VALUES = st.one_of(
    st.floats(-5000.0, 5000.0), st.just(0.0), st.just(np.nan), st.sampled_from([-32768.0, 1e12])
)


@st.composite
def _recordings(draw: st.DrawFn) -> Recording:
    leads = draw(st.lists(st.sampled_from(list(Lead)), min_size=1, max_size=15, unique=True))
    sample_count = draw(st.integers(1, 3000))
    corners = draw(arrays(np.float64, (len(leads), draw(st.integers(1, 40))), elements=_VALUES))
    return Recording(
        leads=tuple(map(str, leads)),
        microvolts=_stretched(corners, sample_count, draw(st.integers(0, 2**16))),
        rate_hz=draw(st.sampled_from([100.0, 257.3, 500.0, 1000.0])),
    )


def _stretched(corners: NDArray[np.float64], sample_count: int, seed: int) -> NDArray[np.float64]:
    """Few numbers held for long, under a little noise: flats, steps and gaps of every length."""
    places = np.arange(sample_count) * corners.shape[1] // sample_count
    noise = np.random.default_rng(seed).normal(0.0, 3.0, (corners.shape[0], sample_count))
    return corners[:, places] + noise * (seed % 3)


@given(_recordings())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_recording_has_an_assessment(recording: Recording) -> None:
    _holds_together(check(recording), recording)


def _holds_together(assessment: Assessment, recording: Recording) -> None:
    strictness = list(Verdict).index
    asked = [strictness(found.asks) for found in assessment.findings]
    assert strictness(assessment.verdict) == max(asked, default=0)
    assert asked == sorted(asked, reverse=True)
    for found in assessment.findings:
        assert found.sentence
        for start_s, end_s in found.spans_s:
            assert 0.0 <= start_s < end_s <= recording.duration_s + 1e-3
        assert all(np.isfinite(value) for value in found.figures.values())


@given(st.integers(0, 2**32 - 1), st.floats(-1e6, 1e6))
@settings(max_examples=15, deadline=None)
def test_an_offset_changes_no_finding(seed: int, offset_uv: float) -> None:
    noise = np.random.default_rng(seed).normal(0.0, 30.0, (3, 2500))
    plain = Recording(leads=("I", "II", "V1"), microvolts=noise, rate_hz=500.0)
    moved = Recording(leads=("I", "II", "V1"), microvolts=noise + offset_uv, rate_hz=500.0)
    assert [found.kind for found in check(plain).findings] == [
        found.kind for found in check(moved).findings
    ]
