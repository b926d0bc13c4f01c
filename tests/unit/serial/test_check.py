from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

import couchside
from couchside.quality import FindingKind, Verdict
from couchside.recording import CHEST_ELECTRODES, Electrode
from couchside.serial import Examined, check
from couchside.serial.check import check_against
from couchside.simulate import ElectrodeShift, another_visit, exchange, random_scenario, simulate

FIRST = random_scenario(5)


def test_without_earlier_recordings_it_is_the_check_alone(later: Examined) -> None:
    assessment = check(later.recording)
    assert assessment.comparison is None
    assert assessment.verdict is later.assessment.verdict
    assert couchside.check is check


def test_an_earlier_recording_of_the_person_adds_nothing_to_look_at(
    earlier: Examined, later: Examined
) -> None:
    assessment = check_against(later, [earlier])
    assert assessment.comparison is not None
    assert [each.kind for each in assessment.findings] == [
        each.kind for each in later.assessment.findings
    ]


def test_left_arm_and_left_leg_exchanged_is_told_by_the_earlier_recording(
    earlier: Examined,
) -> None:
    """Alone it is all but undetectable: 22 % in the literature."""
    swapped = replace(another_visit(FIRST, days=200.0), cables=exchange(Electrode.LA, Electrode.LL))
    assessment = check(simulate(swapped).recording, earlier=[earlier])
    found = [each for each in assessment.findings if each.kind is FindingKind.CABLES_EXCHANGED]
    assert [set(each.electrodes) for each in found] == [{Electrode.LA, Electrode.LL}]
    assert assessment.verdict is Verdict.RECORD_AGAIN
    assert assessment.comparison is not None
    assert not assessment.comparison.same_heart.prompts


def test_a_row_of_electrodes_that_sits_elsewhere_than_then_is_a_remark(earlier: Examined) -> None:
    shifts = tuple(ElectrodeShift(electrode=each, left_cm=3.0) for each in CHEST_ELECTRODES[2:])
    moved = replace(another_visit(FIRST, days=200.0), shifts=shifts)
    assessment = check(simulate(moved).recording, earlier=[earlier])
    (found,) = [each for each in assessment.findings if each.kind is FindingKind.MISPLACED]
    assert found.sentence.startswith("V3 to V6 may sit farther to the side than in the recording")
    assert found.asks is Verdict.KEEP_WITH_REMARK


def test_an_exchange_of_the_earlier_recording_is_not_held_against_the_new_one(
    later: Examined,
) -> None:
    swapped = replace(FIRST, cables=exchange(Electrode.RA, Electrode.LA))
    assessment = check(later.recording, earlier=[simulate(swapped).recording])
    kinds = {each.kind for each in assessment.findings}
    assert FindingKind.CABLES_EXCHANGED not in kinds


def test_another_heart_prompts_to_make_sure_whose_it_is(earlier: Examined, other: Examined) -> None:
    assessment = check_against(other, [earlier])
    found = [each for each in assessment.findings if each.kind is FindingKind.UNLIKE_EARLIER]
    assert len(found) == 1
    assert found[0].asks is Verdict.KEEP_WITH_REMARK
    assert "date of birth" in found[0].remedy


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_the_newest_of_several_is_compared_with(
    earlier: Examined, later: Examined, order: tuple[int, int]
) -> None:
    old, newer = (
        replace(earlier, recording=replace(earlier.recording, start=datetime.fromisoformat(moment)))
        for moment in ("2024-05-01T10:00+02:00", "2025-05-01T10:00")
    )
    several = [(old, newer)[place] for place in order]
    assessment = check_against(later, several)
    assert assessment.comparison is not None
    assert assessment.comparison.old is newer
