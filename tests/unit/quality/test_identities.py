"""The limb leads add up, or the check says that they do not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations, permutations
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

import couchside
from couchside.quality import FindingKind
from couchside.quality.identities import check_identities, find_disagreement
from couchside.recording import LIMB_LEADS, Electrode, Recording

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _changed(recording: Recording, name: str, microvolts: FloatArray) -> Recording:
    changed = recording.microvolts.copy()
    changed[recording.leads.index(name)] = microvolts
    return replace(recording, microvolts=changed)


def _exchanged(recording: Recording, one: str, other: str) -> Recording:
    changed = _changed(recording, one, recording.get_lead(other))
    return _changed(changed, other, recording.get_lead(one))


def test_exact_leads_agree(make_recording: MakeRecording) -> None:
    assert check_identities(make_recording(), ()) == ()


def test_rounding_to_the_stated_step_is_no_disagreement(make_recording: MakeRecording) -> None:
    recording = make_recording()
    rounded = replace(
        recording,
        microvolts=np.round(recording.microvolts / 5.0) * 5.0,
        settings=replace(recording.settings, resolution_uv=5.0),
    )
    assert find_disagreement(rounded) is None


def test_an_offset_is_no_disagreement(make_recording: MakeRecording) -> None:
    recording = make_recording()
    assert find_disagreement(_changed(recording, "III", recording.get_lead("III") + 800)) is None


@pytest.mark.parametrize(("one", "other"), list(combinations(LIMB_LEADS, 2)))
def test_exchanged_names_are_told_with_what_stands_under_them(
    make_recording: MakeRecording, one: str, other: str
) -> None:
    recording = make_recording()
    (found,) = check_identities(_exchanged(recording, one, other), ())
    assert found.kind == FindingKind.LEADS_MISNAMED
    assert found.leads == (one, other)
    assert f"{other} stands under {one} and {one} stands under {other}" in found.sentence


def test_three_names_in_a_ring_are_told(make_recording: MakeRecording) -> None:
    recording = _exchanged(_exchanged(make_recording(), "aVR", "aVL"), "aVL", "aVF")
    (found,) = check_identities(recording, ())
    assert found.kind == FindingKind.LEADS_MISNAMED
    assert found.leads == ("aVR", "aVL", "aVF")
    assert "aVL stands under aVR, aVF stands under aVL and aVR stands under aVF" in found.sentence


def test_a_limb_and_a_chest_lead_exchanged_are_told(make_recording: MakeRecording) -> None:
    (found,) = check_identities(_exchanged(make_recording(), "II", "V2"), ())
    assert found.kind == FindingKind.LEADS_MISNAMED
    assert found.leads == ("II", "V2")


@pytest.mark.parametrize("name", LIMB_LEADS)
def test_a_lead_upside_down_is_told(make_recording: MakeRecording, name: str) -> None:
    recording = make_recording()
    (found,) = check_identities(_changed(recording, name, -recording.get_lead(name)), ())
    assert found.kind == FindingKind.LEADS_DISAGREE
    assert found.leads == (name,)
    assert "upside down" in found.sentence


@pytest.mark.parametrize(("copy", "source"), list(permutations(LIMB_LEADS, 2)))
def test_a_copied_limb_lead_is_told(make_recording: MakeRecording, copy: str, source: str) -> None:
    recording = make_recording()
    (found,) = check_identities(_changed(recording, copy, recording.get_lead(source)), ())
    assert found.kind == FindingKind.LEAD_COPIED
    assert found.leads == (copy,)
    assert found.sentence == f"Lead {copy} is a copy of lead {source}."


@pytest.mark.parametrize("name", ["I", "aVR"])
def test_the_one_wrong_lead_is_told(make_recording: MakeRecording, name: str) -> None:
    recording = make_recording()
    (found,) = check_identities(_changed(recording, name, 1.3 * recording.get_lead(name)), ())
    assert found.kind == FindingKind.LEADS_DISAGREE
    assert found.leads == (name,)


def test_rounding_and_a_wandering_middle_do_not_hide_an_exchange(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    """Medians of leads do not add up as their means do."""
    sway = 900.0 * np.maximum(np.sin(2 * np.pi * 0.15 * time_s), 0.0)
    recording = make_recording(at={Electrode.LA: sway, Electrode.LL: -0.6 * sway[::-1]})
    rounded = replace(recording, microvolts=np.round(recording.microvolts))
    (found,) = check_identities(_exchanged(rounded, "aVL", "III"), ())
    assert found.kind == FindingKind.LEADS_MISNAMED
    assert found.leads == ("III", "aVL")


def test_limb_leads_alone_are_told_too(make_recording: MakeRecording) -> None:
    (found,) = check_identities(_exchanged(make_recording(leads=LIMB_LEADS), "I", "II"), ())
    assert found.kind == FindingKind.LEADS_MISNAMED


def test_exchanged_cables_are_no_exchanged_names(make_recording: MakeRecording) -> None:
    recording = make_recording()
    arms = _exchanged(_exchanged(recording, "II", "III"), "aVR", "aVL")
    assert check_identities(_changed(arms, "I", -recording.get_lead("I")), ()) == ()


def test_a_lead_delayed_by_itself_is_told(make_recording: MakeRecording) -> None:
    recording = make_recording()
    disagreement = find_disagreement(
        _changed(recording, "III", np.roll(recording.get_lead("III"), 5))
    )
    assert disagreement is not None
    assert disagreement.leads == ("III",)
    assert not disagreement.scale_only


def test_leads_with_a_scale_of_their_own_are_told_as_that(make_recording: MakeRecording) -> None:
    recording = make_recording()
    scaled = recording.microvolts / np.ptp(recording.microvolts, axis=1, keepdims=True) * 1000.0
    disagreement = find_disagreement(replace(recording, microvolts=scaled))
    assert disagreement is not None
    assert disagreement.scale_only


def test_nothing_is_said_of_lost_or_absent_leads(make_recording: MakeRecording) -> None:
    recording = make_recording()
    flat = _changed(recording, "aVF", np.zeros(recording.sample_count))
    assert check_identities(flat, ("aVF",)) == ()
    assert find_disagreement(make_recording(leads=("I", "V1", "V2"))) is None
    assert find_disagreement(make_recording(leads=("I", "II", "V1"))) is None


@pytest.mark.data
@pytest.mark.parametrize(("database", "agrees"), [("cinc2011", True), ("ludb", False)])
def test_open_recordings(open_data: Path, database: str, agrees: bool) -> None:  # noqa: FBT001
    """CinC 2011 derives its leads; LUDB's headers stretch each lead to 1 mV by itself."""
    headers = sorted((open_data / database).rglob("*.hea"))[:10]
    assert len(headers) == 10
    for header in headers:
        disagreement = find_disagreement(couchside.read(header))
        assert (disagreement is None) == agrees
        assert disagreement is None or disagreement.scale_only
