"""The whole check on recordings with one thing wrong, and on what no recorder should send."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import Assessment, Finding, FindingKind, Verdict, check
from couchside.recording import (
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Patient,
    Recording,
)

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _only(assessment: Assessment, kind: FindingKind) -> Finding:
    found = [each for each in assessment.findings if each.kind == kind]
    assert len(found) == 1, [each.sentence for each in assessment.findings]
    return found[0]


def test_a_good_recording_is_kept_without_a_finding(make_recording: MakeRecording) -> None:
    assessment = check(make_recording())
    assert assessment.findings == ()
    assert assessment.verdict == Verdict.KEEP


@pytest.mark.parametrize(
    ("electrode", "spared"),
    [(Electrode.RA, "III"), (Electrode.LA, "II"), (Electrode.LL, "I")],
)
def test_tremor_at_a_limb_is_told_once_and_spares_the_opposite_lead(
    make_recording: MakeRecording, time_s: FloatArray, electrode: Electrode, spared: str
) -> None:
    noise = _band_noise(time_s, 90.0)
    found = _only(check(make_recording(at={electrode: noise})), FindingKind.MUSCLE_TREMOR)
    assert found.electrodes == (electrode,)
    assert spared not in found.leads
    assert found.asks != Verdict.KEEP
    # the tremor band holds less than the whole of white noise: 28–140 of 250 Hz
    assert found.figures["tremor_rms_uv"] == pytest.approx(90.0 * np.sqrt(118 / 250), rel=0.15)


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
def test_mains_on_a_chest_electrode(
    make_recording: MakeRecording, time_s: FloatArray, mains_hz: float
) -> None:
    hum = 150.0 * np.sin(2 * np.pi * mains_hz * time_s + 0.4)
    assessment = check(make_recording(at={Electrode.C3: hum}))
    found = _only(assessment, FindingKind.MAINS)
    assert found.electrodes == (Electrode.C3,)
    assert found.leads == ("V3",)
    assert found.figures["mains_hz"] == mains_hz
    assert found.figures["mains_rms_uv"] == pytest.approx(150.0 / np.sqrt(2), rel=0.05)
    assert f"{mains_hz:.0f} Hz" in found.sentence
    assert assessment.verdict == Verdict.RECORD_AGAIN


def test_wander_is_told_from_its_electrode(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    sway = 1500.0 * np.sin(2 * np.pi * 0.25 * time_s)
    found = _only(check(make_recording(at={Electrode.LL: sway})), FindingKind.WANDER)
    assert found.electrodes == (Electrode.LL,)
    assert "ST level" in found.sentence


def test_a_jump_is_told_with_its_moment(make_recording: MakeRecording, time_s: FloatArray) -> None:
    jump = np.where(time_s >= 4.55, 2000.0 * np.exp(-(time_s - 4.55) / 0.3), 0.0)
    found = _only(check(make_recording(at={Electrode.C2: jump})), FindingKind.POP)
    assert found.electrodes == (Electrode.C2,)
    assert any(start <= 4.55 <= end for start, end in found.spans_s)


def test_two_electrodes_make_two_findings(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    at = {
        Electrode.C1: 200.0 * np.sin(2 * np.pi * 50.0 * time_s),
        Electrode.LA: _band_noise(time_s, 150.0),
    }
    found = [each for each in check(make_recording(at=at)).findings if each.electrodes]
    assert {each.electrodes for each in found} == {(Electrode.C1,), (Electrode.LA,)}


def test_a_flat_chest_lead_is_lost_contact(make_recording: MakeRecording) -> None:
    recording = make_recording()
    microvolts = recording.microvolts.copy()
    microvolts[recording.leads.index("V5")] = 0.0
    assessment = check(replace(recording, microvolts=microvolts))
    found = _only(assessment, FindingKind.LOST_CONTACT)
    assert found.electrodes == (Electrode.C5,)
    assert assessment.verdict == Verdict.RECORD_AGAIN


@pytest.mark.parametrize(
    ("electrode", "living"),
    [(Electrode.RA, "III"), (Electrode.LA, "II"), (Electrode.LL, "I")],
)
def test_all_leads_but_one_flat_is_a_limb_electrode_off(
    make_recording: MakeRecording, electrode: Electrode, living: str
) -> None:
    recording = make_recording()
    microvolts = np.zeros_like(recording.microvolts)
    row = recording.leads.index(living)
    microvolts[row] = recording.microvolts[row]
    found = _only(check(replace(recording, microvolts=microvolts)), FindingKind.LOST_CONTACT)
    assert found.electrodes == (electrode,)


def test_open_input_full_of_mains_is_lost_contact(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    hum = 4000.0 * np.sin(2 * np.pi * 50.0 * time_s)
    found = _only(check(make_recording(at={Electrode.C6: hum})), FindingKind.LOST_CONTACT)
    assert found.electrodes == (Electrode.C6,)


def test_missing_samples_are_told_with_their_span(make_recording: MakeRecording) -> None:
    recording = make_recording()
    microvolts = recording.microvolts.copy()
    microvolts[7, 1000:1600] = np.nan
    found = _only(check(replace(recording, microvolts=microvolts)), FindingKind.MISSING_SAMPLES)
    assert found.leads == ("V2",)
    assert found.spans_s == ((2.0, 3.5),)


def test_missing_identity_is_one_remark(make_recording: MakeRecording) -> None:
    assessment = check(make_recording(patient=Patient()))
    assert [each.kind for each in assessment.findings] == [FindingKind.IDENTITY]
    assert assessment.verdict == Verdict.KEEP_WITH_REMARK


def test_findings_come_weightiest_first(make_recording: MakeRecording, time_s: FloatArray) -> None:
    hum = 150.0 * np.sin(2 * np.pi * 50.0 * time_s)
    assessment = check(make_recording(at={Electrode.C3: hum}, patient=Patient()))
    strictness = [list(Verdict).index(each.asks) for each in assessment.findings]
    assert all(first >= second for first, second in pairwise(strictness))
    assert assessment.verdict == assessment.findings[0].asks


def test_every_finding_is_one_sentence_with_one_remedy(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    at = {
        Electrode.RA: _band_noise(time_s, 300.0),
        Electrode.C4: 3000.0 * np.sin(2 * np.pi * 0.3 * time_s),
    }
    for found in check(make_recording(at=at, patient=Patient())).findings:
        assert found.sentence.endswith(".")
        assert "  " not in found.sentence
        if found.asks == Verdict.RECORD_AGAIN:
            assert found.remedy.endswith("then record again.")


def test_mains_and_movement_at_one_electrode_are_one_loose_electrode(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    hum = 150.0 * np.sin(2 * np.pi * 50.0 * time_s)
    sway = 2000.0 * np.sin(2 * np.pi * 0.3 * time_s)
    (found,) = check(make_recording(at={Electrode.LA: hum + sway})).findings
    assert found.electrodes == (Electrode.LA,)
    assert "seems loose" in found.sentence
    assert "Press the left-arm electrode" in found.remedy


def test_a_remark_does_not_ask_for_a_repeat(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    noise = _band_noise(time_s, 90.0)
    found = _only(check(make_recording(at={Electrode.RA: noise})), FindingKind.MUSCLE_TREMOR)
    assert found.asks == Verdict.KEEP_WITH_REMARK
    assert found.remedy.startswith("If you record again, rest the right arm")


def test_electrode_noise_has_every_band(make_recording: MakeRecording) -> None:
    noise = check(make_recording()).electrode_noise
    assert noise is not None
    assert noise.noise_rms_uv.shape == (len(noise.bands), 9)
    assert Electrode.RL not in noise.electrodes


def test_one_lead_gives_no_electrode_noise(make_recording: MakeRecording) -> None:
    assessment = check(make_recording(leads=("II",)))
    assert assessment.electrode_noise is None
    assert _only(assessment, FindingKind.LEADS_MISSING).asks == Verdict.RECORD_AGAIN


def test_eight_leads_are_as_good_as_twelve(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    noise = _band_noise(time_s, 120.0)
    recording = make_recording(at={Electrode.LA: noise}, leads=INDEPENDENT_LEADS)
    found = _only(check(recording), FindingKind.MUSCLE_TREMOR)
    assert found.electrodes == (Electrode.LA,)


_SAMPLES: dict[str, FloatArray] = {
    "all zero": np.zeros((12, 5000)),
    "all missing": np.full((12, 5000), np.nan),
    "one sample": np.ones((12, 1)),
    "three samples": np.arange(36.0).reshape(12, 3),
    "absurd": np.random.default_rng(3).normal(0.0, 1e9, (12, 5000)),
    "a constant": np.full((12, 5000), 32767.0),
}


@pytest.mark.parametrize("name", _SAMPLES)
@pytest.mark.parametrize("rate_hz", [25.0, 100.0, 500.0, 8000.0])
def test_nothing_readable_asks_for_another(name: str, rate_hz: float) -> None:
    recording = Recording(
        leads=tuple(map(str, STANDARD_LEADS)), microvolts=_SAMPLES[name], rate_hz=rate_hz
    )
    assert check(recording).verdict == Verdict.RECORD_AGAIN


def test_fifteen_leads(make_recording: MakeRecording) -> None:
    recording = make_recording()
    more = replace(
        recording,
        leads=(*recording.leads, "X", "Y", "Z"),
        microvolts=np.vstack([recording.microvolts, recording.microvolts[6:9]]),
    )
    assert check(more).verdict == Verdict.KEEP


def test_half_an_hour(make_recording: MakeRecording) -> None:
    recording = make_recording(rate_hz=250.0)
    long = replace(recording, microvolts=np.tile(recording.microvolts, (1, 180)))
    kinds = {each.kind for each in check(long).findings if each.asks == Verdict.RECORD_AGAIN}
    assert kinds == set()


def _band_noise(time_s: FloatArray, rms_uv: float) -> FloatArray:
    return np.random.default_rng(11).normal(0.0, rms_uv, len(time_s))
