"""The worst seconds of a finding, and one electrode's part apart from the heart."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import Assessment, Finding, FindingKind, check
from couchside.quality.evidence import SHOWN_S, Evidence, find_evidence
from couchside.recording import Electrode, Patient, Recording

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _evidence_of(recording: Recording, assessment: Assessment, kind: FindingKind) -> Evidence:
    found: Finding = next(each for each in assessment.findings if each.kind == kind)
    evidence = find_evidence(recording, assessment, found)
    assert evidence is not None
    return evidence


def test_electrode_part_is_what_was_put_in(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    hum = 100.0 * np.sin(2 * np.pi * 50.0 * time_s)
    recording = make_recording(at={Electrode.C3: hum})

    evidence = _evidence_of(recording, check(recording), FindingKind.MAINS)

    assert evidence.leads == ("V3",)
    assert evidence.electrode_uv is not None
    middle = slice(500, 4500)
    left = evidence.electrode_uv[0, middle] - hum[middle]
    assert np.sqrt(np.mean(left**2)) < 0.1 * np.sqrt(np.mean(hum**2))


def test_two_electrodes_are_told_apart(make_recording: MakeRecording, time_s: FloatArray) -> None:
    sway = 2000.0 * np.sin(2 * np.pi * 0.3 * time_s)
    hum = 100.0 * np.sin(2 * np.pi * 50.0 * time_s)
    recording = make_recording(at={Electrode.LL: sway, Electrode.C3: hum})

    evidence = _evidence_of(recording, check(recording), FindingKind.WANDER)

    assert evidence.electrode_uv is not None
    weight = 2.0 / 3.0 if evidence.leads[0] == "aVF" else 1.0
    part, put_in = evidence.electrode_uv[0, 500:4500], weight * sway[500:4500]
    assert abs(np.corrcoef(part, put_in)[0, 1]) > 0.99


def test_worst_seconds_are_chosen(make_recording: MakeRecording, time_s: FloatArray) -> None:
    burst = np.where(np.abs(time_s - 7.0) < 1.0, 1.0, 0.3)
    hum = 100.0 * burst * np.sin(2 * np.pi * 50.0 * time_s)
    recording = make_recording(at={Electrode.C3: hum})

    start, end = _evidence_of(recording, check(recording), FindingKind.MAINS).span_s

    assert end - start == pytest.approx(SHOWN_S)
    assert start <= 6.0
    assert end >= 8.0


def test_what_shows_in_no_lead_has_no_evidence(make_recording: MakeRecording) -> None:
    recording = make_recording(patient=Patient())
    assessment = check(recording)

    assert find_evidence(recording, assessment, assessment.findings[0]) is None


def test_lead_without_signal_shows_its_longest_span(make_recording: MakeRecording) -> None:
    recording = make_recording()
    microvolts = recording.microvolts.copy()
    microvolts[6] = 0.0
    flat = Recording(
        leads=recording.leads, microvolts=microvolts, rate_hz=recording.rate_hz,
        patient=recording.patient, settings=recording.settings,
    )  # fmt: skip

    evidence = _evidence_of(flat, check(flat), FindingKind.LOST_CONTACT)

    assert evidence.electrode_uv is None
    assert evidence.span_s == (3.5, 6.5)
