"""Faults of an electrode: told apart by kind, traced by time span, with what they hide and undo."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import Finding, FindingKind, Reading, Verdict, check
from couchside.quality.remedies import choose_actions, word_remedies
from couchside.quality.sources import choose_leads, list_sources, source_weights
from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Recording,
    get_lead_matrix,
)
from couchside.simulate import get_scenario, simulate

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _first(recording: Recording) -> Finding:
    return check(recording).findings[0]


@pytest.mark.parametrize("electrode", [Electrode.RA, Electrode.LA, Electrode.LL])
def test_a_shaking_limb_is_no_movement(
    make_recording: MakeRecording, time_s: FloatArray, electrode: Electrode
) -> None:
    shaking = 150.0 * np.sin(2 * np.pi * 5.1 * time_s + 0.5 * np.sin(2.0 * time_s))
    found = _first(make_recording(at={electrode: shaking}))
    assert found.kind == FindingKind.LIMB_TREMOR
    assert found.electrodes == (electrode,)
    assert "pillow" in " ".join(found.remedies)


def test_flutter_is_no_shaking_limb() -> None:
    findings = check(simulate(get_scenario("flutter")).recording).findings
    assert FindingKind.LIMB_TREMOR not in {found.kind for found in findings}


def test_mains_by_turns_is_a_loose_contact(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    gone = ((time_s > 2.0) & (time_s < 3.0)) | ((time_s > 6.0) & (time_s < 7.2))
    open_input = gone * (300.0 + 400.0 * np.sin(2 * np.pi * 50.0 * time_s))
    found = _first(make_recording(at={Electrode.C4: open_input}))
    assert found.kind == FindingKind.LOOSE_CONTACT
    assert found.electrodes == (Electrode.C4,)
    assert all(start >= 1.5 and end <= 7.5 for start, end in found.spans_s)
    assert found.remedy.startswith(("Press the V4", "If you record again, press the V4"))


def test_faults_by_turns_are_told_with_their_time(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    noise = np.random.default_rng(2).normal(0.0, 150.0, len(time_s))
    at = {
        Electrode.RA: noise * ((time_s > 1.0) & (time_s < 4.0)),
        Electrode.C5: noise * ((time_s > 6.0) & (time_s < 9.0)),
    }
    told = {found.electrodes: found.spans_s for found in check(make_recording(at=at)).findings}
    assert set(told) == {(Electrode.RA,), (Electrode.C5,)}
    assert all(end <= 4.5 for _, end in told[(Electrode.RA,)])
    assert all(start >= 5.5 for start, _ in told[(Electrode.C5,)])


def test_mains_in_step_everywhere_is_laid_at_the_right_leg(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    hum = np.sin(2 * np.pi * 50.0 * time_s)
    shares = np.random.default_rng(4).uniform(40.0, 260.0, len(ELECTRODES))
    at = {each: share * hum for each, share in zip(ELECTRODES, shares, strict=True)}
    found = _first(make_recording(at=at))
    assert found.kind == FindingKind.MAINS
    assert found.electrodes == (Electrode.RL,)
    assert found.confidence < 0.7
    assert "probably" in found.sentence


@pytest.mark.parametrize("electrode", [Electrode.RA, Electrode.LA, Electrode.LL, Electrode.C3])
def test_an_input_driven_to_its_limit_is_named(
    make_recording: MakeRecording, electrode: Electrode
) -> None:
    recording = make_recording()
    column = get_lead_matrix()[:, ELECTRODES.index(electrode)]
    driven = np.clip(recording.microvolts + column[:, None] * 60_000.0, -5000.0, 5000.0)
    found = _first(replace(recording, microvolts=driven))
    assert found.kind == FindingKind.LOST_CONTACT
    assert found.electrodes == (electrode,)
    assert Reading.EVERYTHING in {hidden.what for hidden in found.hides}


def test_little_noise_hides_p_and_much_hides_measures(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    noise = np.random.default_rng(3).normal(0.0, 1.0, len(time_s))
    little = _first(make_recording(at={Electrode.C4: 75.0 * noise}))
    assert Reading.P_WAVE in {hidden.what for hidden in little.hides}
    assert not {Reading.QRS, Reading.PR_INTERVAL} & {hidden.what for hidden in little.hides}
    assert little.hides[0].leads == ("V4",)
    much = _first(make_recording(at={Electrode.RA: 900.0 * noise}))
    assert {Reading.QRS, Reading.PR_INTERVAL, Reading.AXIS} <= {each.what for each in much.hides}


def test_a_lead_beside_the_twelve_is_told_by_its_name(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    recording = make_recording()
    v7 = recording.get_lead("V6") + np.random.default_rng(5).normal(0.0, 120.0, len(time_s))
    more = replace(
        recording,
        leads=(*recording.leads, "V7"),
        microvolts=np.vstack([recording.microvolts, v7]),
    )
    found = _first(more)
    assert found.kind == FindingKind.MUSCLE_TREMOR
    assert found.electrodes == ()
    assert found.leads == ("V7",)


def test_a_moved_cable_is_named_under_its_placement() -> None:
    leads = ("I", "II", "V1", "V2", "V3R", "V4R", "V5R", "V6R")
    assert list_sources(leads)[3:] == ELECTRODES[4:]
    assert choose_leads(leads) == leads


def test_sources_enter_the_twelve_as_the_lead_matrix_says() -> None:
    leads = tuple(map(str, STANDARD_LEADS))
    columns = [ELECTRODES.index(Electrode(each)) for each in list_sources(leads)]
    np.testing.assert_allclose(source_weights(leads), get_lead_matrix()[:, columns], atol=1e-15)


@pytest.mark.parametrize("kind", [*FindingKind][:11])
@pytest.mark.parametrize("electrodes", [(), (Electrode.RA,), (Electrode.C2, Electrode.C3)])
def test_remedies_are_sentences_in_order(
    kind: FindingKind, electrodes: tuple[Electrode, ...]
) -> None:
    remedies = word_remedies(kind, electrodes, Verdict.RECORD_AGAIN)
    assert len(remedies) >= 2
    assert remedies[0].endswith(", then record again.")
    assert all(remedy.endswith(".") and remedy[0].isupper() for remedy in remedies)
    assert len(set(remedies)) == len(remedies)


def test_the_skin_comes_before_a_new_electrode() -> None:
    actions = choose_actions(FindingKind.POP, (Electrode.C2,))
    order = [next(n for n, each in enumerate(actions) if word in each) for word in _IN_ORDER]
    assert order == sorted(order)


_IN_ORDER = ("clip", "skin", "hair", "Change")


def _gone(recording: Recording, leads: tuple[str, ...], level: float) -> Recording:
    """A recording of which some leads hold nothing from 2 to 4.5 s."""
    microvolts = recording.microvolts.copy()
    for name in leads:
        microvolts[recording.leads.index(name), 1000:2250] = level
    return replace(recording, microvolts=microvolts)


@pytest.mark.parametrize("level", [np.nan, 0.0])
def test_where_most_leads_are_gone_no_electrode_is_blamed(
    make_recording: MakeRecording, level: float
) -> None:
    gone = ("I", "II", "III", "aVR", "aVF", "V1", "V2", "V3", "V4", "V5")
    told = [
        found
        for found in check(_gone(make_recording(), gone, level)).findings
        if found.kind in {*[*FindingKind][:11]}
    ]
    assert len(told) == 1
    assert told[0].electrodes == ()
    assert set(told[0].leads) == set(gone)


FIFTEEN = (*STANDARD_LEADS, "V7", "V8", "V9")


def _fifteen(recording: Recording, time_s: FloatArray) -> Recording:
    """Three leads of the back beside the twelve, each by an electrode of its own."""
    noise = np.random.default_rng(9).normal(0.0, 4.0, (3, len(time_s)))
    back = np.array([0.7, 0.55, 0.4])[:, None] * recording.get_lead("V6") + noise
    return replace(
        recording,
        leads=tuple(map(str, FIFTEEN)),
        microvolts=np.vstack([recording.microvolts, back]),
    )


@pytest.mark.parametrize("electrode", [Electrode.RA, Electrode.LL, Electrode.C2, Electrode.C6])
def test_with_eight_and_with_fifteen_leads_the_electrode_is_named(
    make_recording: MakeRecording, time_s: FloatArray, electrode: Electrode
) -> None:
    noise = np.random.default_rng(8).normal(0.0, 120.0, len(time_s))
    twelve = make_recording(at={electrode: noise})
    limb = get_lead_matrix(("V1",))[0, ELECTRODES.index(electrode)] if electrode in LIMBS else 0.0
    fifteen = _fifteen(make_recording(), time_s).microvolts.copy()
    fifteen[:12] = twelve.microvolts
    fifteen[12:] += limb * noise
    more = replace(twelve, leads=tuple(map(str, FIFTEEN)), microvolts=fifteen)
    eight = make_recording(leads=INDEPENDENT_LEADS, at={electrode: noise})
    for recording in (eight, more):
        found = _first(recording)
        assert found.kind == FindingKind.MUSCLE_TREMOR
        assert found.electrodes == (electrode,)


LIMBS = (Electrode.RA, Electrode.LA, Electrode.LL)
