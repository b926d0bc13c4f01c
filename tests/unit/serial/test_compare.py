from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.unit.serial.conftest import FIRST, examine_scenario

from couchside.measures import MeasureName
from couchside.quality import check
from couchside.recording import CHEST_ELECTRODES, AcquisitionSettings, Placement, Recording
from couchside.serial import Examined, UnlikeKind, Weight, compare
from couchside.serial.changes import _turn
from couchside.serial.model import weigh
from couchside.simulate import Conduction, ElectrodeShift, HeartState, Rhythm, another_visit


def changed(examined: Examined, recording: Recording) -> Examined:
    return Examined(recording=recording, assessment=check(recording))


def kinds(new: Examined, old: Examined) -> set[UnlikeKind]:
    return {each.kind for each in compare(new, old).unlike}


def test_a_recording_compared_with_itself_shows_no_change(earlier: Examined) -> None:
    found = compare(earlier, earlier)
    assert all(each.change == 0.0 for each in found.changes if each.change is not None)
    assert all(each.largest_qrs_uv < 1e-6 for each in found.leads)
    assert found.unlike == ()
    assert found.notable_changes == ()
    assert found.same_heart.probability == pytest.approx(1.0, abs=1e-6)


def test_two_visits_of_one_person_are_alike(earlier: Examined, later: Examined) -> None:
    found = compare(later, earlier)
    assert not found.same_heart.prompts
    assert found.exchange is not None
    assert not found.exchange.cables
    assert [lead.lead for lead in found.leads] == list(later.recording.leads)
    assert all(lead.st.weight is not Weight.MORE for lead in found.leads)


def test_another_heart_prompts_for_identity(earlier: Examined, other: Examined) -> None:
    found = compare(other, earlier).same_heart
    assert found.prompts
    assert "make sure whose recording this is" in found.sentence


def test_a_heart_conducted_another_way_is_not_judged(earlier: Examined) -> None:
    """A new bundle branch block changes QRS by itself."""
    blocked = replace(
        another_visit(FIRST, days=200.0),
        state=HeartState(conduction=Conduction.LEFT_BUNDLE_BRANCH_BLOCK),
    )
    found = compare(examine_scenario(blocked), earlier)
    assert UnlikeKind.CONDUCTION in {each.kind for each in found.unlike}
    assert found.same_heart.distance is None
    assert not found.same_heart.prompts


def test_atrial_fibrillation_is_the_same_heart_still(earlier: Examined) -> None:
    fibrillating = replace(
        another_visit(FIRST, days=200.0),
        state=HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=110.0),
    )
    found = compare(examine_scenario(fibrillating), earlier)
    assert UnlikeKind.RHYTHM in {each.kind for each in found.unlike}
    assert not found.same_heart.prompts


def test_moved_chest_electrodes_are_the_same_heart_still(earlier: Examined) -> None:
    moved = replace(
        another_visit(FIRST, days=200.0),
        shifts=tuple(ElectrodeShift(electrode=each, down_cm=-3.0) for each in CHEST_ELECTRODES),
    )
    found = compare(examine_scenario(moved), earlier)
    assert not found.same_heart.prompts


def test_beats_are_laid_upon_each_other_at_any_rate(earlier: Examined) -> None:
    """Every second sample of the same recording: a shift of 12 ms is found again."""
    recording = earlier.recording
    shifted = np.roll(recording.microvolts, 6, axis=1)[:, ::2]
    coarse = replace(recording, microvolts=shifted, rate_hz=recording.rate_hz / 2)
    found = compare(earlier, changed(earlier, coarse))
    assert found.beats is not None
    apart = np.abs(found.beats.new_uv - found.beats.old_uv)
    assert float(np.nanmedian(apart)) < 15.0


def test_a_change_carries_both_half_widths(earlier: Examined, later: Examined) -> None:
    found = next(
        each for each in compare(later, earlier).changes if each.name is MeasureName.PR_INTERVAL
    )
    now = later.assessment.measures.get(MeasureName.PR_INTERVAL)
    then = earlier.assessment.measures.get(MeasureName.PR_INTERVAL)
    assert now.uncertainty is not None
    assert then.uncertainty is not None
    assert found.uncertainty == pytest.approx(np.hypot(now.uncertainty, then.uncertainty))


def test_a_missing_value_carries_its_reason(earlier: Examined) -> None:
    flat = replace(earlier.recording, microvolts=np.zeros_like(earlier.recording.microvolts))
    found = compare(changed(earlier, flat), earlier)
    assert all(each.change is None and each.reason for each in found.changes)
    assert found.beats is None
    assert found.exchange is None
    assert found.same_heart.distance is None
    assert "cannot be judged" in found.same_heart.sentence


@pytest.mark.parametrize(
    ("change", "uncertainty", "usual", "expected"),
    [
        (None, 3.0, 20.0, Weight.NOT_COMPARABLE),
        (2.0, 3.0, 20.0, Weight.NOTHING),
        (-10.0, 3.0, 20.0, Weight.USUAL),
        (-21.0, 3.0, 20.0, Weight.MORE),
        (21.0, 40.0, 20.0, Weight.NOTHING),
    ],
)
def test_a_change_is_weighed(
    change: float | None, uncertainty: float, usual: float, expected: Weight
) -> None:
    assert weigh(change, uncertainty, usual) is expected


def test_torso_and_limb_placements_are_not_like_for_like(earlier: Examined) -> None:
    """[Jowett2005]"""
    torso = replace(earlier.recording, placement=Placement.TORSO)
    assert UnlikeKind.PLACEMENT in kinds(changed(earlier, torso), earlier)


def test_other_filters_are_not_like_for_like(earlier: Examined) -> None:
    wide = replace(earlier.recording, settings=AcquisitionSettings(low_pass_hz=150.0))
    narrow = replace(earlier.recording, settings=AcquisitionSettings(low_pass_hz=40.0))
    found = compare(changed(earlier, narrow), changed(earlier, wide)).unlike
    sentences = [each.sentence for each in found if each.kind is UnlikeKind.FILTER]
    assert sentences == ["The filters differ: low-pass 40 Hz now, 150 Hz then."]


def test_another_gain_is_told(earlier: Examined) -> None:
    doubled = replace(earlier.recording, microvolts=2.0 * earlier.recording.microvolts)
    assert UnlikeKind.GAIN in kinds(changed(earlier, doubled), earlier)


def test_other_leads_are_told(earlier: Examined) -> None:
    fewer = replace(
        earlier.recording,
        leads=earlier.recording.leads[:6],
        microvolts=earlier.recording.microvolts[:6],
    )
    found = compare(changed(earlier, fewer), earlier)
    assert UnlikeKind.LEADS in {each.kind for each in found.unlike}
    assert len(found.leads) == 6
    assert found.same_heart.distance is None


def test_axes_turn_the_shorter_way() -> None:
    assert _turn(350.0) == pytest.approx(-10.0)
    assert _turn(-190.0) == pytest.approx(170.0)
    assert _turn(180.0) == pytest.approx(180.0)
