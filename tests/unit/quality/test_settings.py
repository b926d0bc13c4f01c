"""What the settings alone say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from couchside.quality import Finding, FindingKind, Verdict
from couchside.quality.settings import check_settings
from couchside.recording import INDEPENDENT_LEADS, AcquisitionSettings, Recording

MakeRecording = Callable[..., Recording]


def _with(recording: Recording, **changes: float | None) -> tuple[Finding, ...]:
    return check_settings(replace(recording, settings=replace(recording.settings, **changes)))


def test_good_settings_need_no_word(make_recording: MakeRecording) -> None:
    assert check_settings(make_recording()) == ()


@pytest.mark.parametrize(
    ("changes", "kind", "asks"),
    [
        ({"high_pass_hz": 0.5}, FindingKind.FILTER, Verdict.KEEP_WITH_REMARK),
        ({"low_pass_hz": 40.0}, FindingKind.FILTER, Verdict.KEEP_WITH_REMARK),
        ({"low_pass_hz": 100.0}, FindingKind.FILTER, Verdict.KEEP),
        ({"resolution_uv": 10.0}, FindingKind.RESOLUTION, Verdict.KEEP_WITH_REMARK),
        ({"low_pass_hz": None}, FindingKind.FILTER_NOT_STATED, Verdict.KEEP),
        ({"high_pass_hz": None, "low_pass_hz": None}, FindingKind.FILTER_NOT_STATED, Verdict.KEEP),
    ],
)
def test_one_setting_makes_one_finding(
    make_recording: MakeRecording,
    changes: dict[str, float | None],
    kind: FindingKind,
    asks: Verdict,
) -> None:
    (found,) = _with(make_recording(), **changes)
    assert (found.kind, found.asks) == (kind, asks)


@pytest.mark.parametrize(
    "changes", [{"high_pass_hz": 0.05}, {"low_pass_hz": 150.0}, {"resolution_uv": 5.0}]
)
def test_the_limits_themselves_are_good(
    make_recording: MakeRecording, changes: dict[str, float]
) -> None:
    assert _with(make_recording(), **changes) == ()


@pytest.mark.parametrize(
    ("rate_hz", "asks"),
    [
        (499.0, Verdict.KEEP_WITH_REMARK),
        (250.0, Verdict.KEEP_WITH_REMARK),
        (50.0, Verdict.RECORD_AGAIN),
    ],
)
def test_a_low_rate(make_recording: MakeRecording, rate_hz: float, asks: Verdict) -> None:
    (found,) = check_settings(make_recording(rate_hz=rate_hz))
    assert (found.kind, found.asks) == (FindingKind.SAMPLING_RATE, asks)


@pytest.mark.parametrize(
    ("duration_s", "asks"), [(8.0, Verdict.KEEP_WITH_REMARK), (2.0, Verdict.RECORD_AGAIN)]
)
def test_a_short_recording(make_recording: MakeRecording, duration_s: float, asks: Verdict) -> None:
    (found,) = check_settings(make_recording(duration_s=duration_s))
    assert (found.kind, found.asks) == (FindingKind.TOO_SHORT, asks)


def test_a_sample_short_of_ten_seconds_is_ten_seconds(make_recording: MakeRecording) -> None:
    recording = make_recording()
    assert check_settings(replace(recording, microvolts=recording.microvolts[:, :-1])) == ()


def test_leads_that_follow_from_others_are_not_missed(make_recording: MakeRecording) -> None:
    (found,) = check_settings(make_recording(leads=INDEPENDENT_LEADS))
    assert (found.kind, found.asks) == (FindingKind.LEADS_MISSING, Verdict.KEEP)


def test_one_lead_is_no_twelve(make_recording: MakeRecording) -> None:
    (found,) = check_settings(make_recording(leads=("V1",)))
    assert found.asks == Verdict.RECORD_AGAIN
    assert len(found.leads) == 11


def test_settings_of_no_file_at_all() -> None:
    bare = Recording(leads=("foo",), microvolts=np.zeros((1, 5000)), rate_hz=500.0)
    assert bare.settings == AcquisitionSettings()
    kinds = {found.kind for found in check_settings(bare)}
    assert kinds == {FindingKind.LEADS_MISSING, FindingKind.FILTER_NOT_STATED}
