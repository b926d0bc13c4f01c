"""Who a person is may be corrected: what stood stays, and old and new number mean them both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from couchside.errors import Conflict, InvalidInput, NotFound
from couchside.formats import ArrivedFile, Parcel, read_parcel
from couchside.recording import Patient
from couchside.service.amending import IdentityWish, amend_identity
from couchside.service.desk import Desk
from couchside.service.opening import open_recording
from couchside.service.ordering import NewOrder, add_order
from couchside.service.patients import open_patient
from couchside.service.receiving import Received
from couchside.service.rounds import open_order
from couchside.service.summaries import OrderSummary
from couchside.service.taking_along import FileKind, take_along
from couchside.service.trail import check_trail, list_trail

Drop = Callable[..., Received]
Say = Callable[..., IdentityWish]


@pytest.fixture
def wish(order: OrderSummary) -> Say:
    """The person of the order under another number, or with whatever else is corrected."""

    def make(*, seen_number: int = 0, reason: str = "mistyped", **changed: object) -> IdentityWish:
        corrected = {"identifier": "Q-77", **changed}
        return IdentityWish(
            patient_number=order.patient.identifier,
            patient=replace(order.patient, **corrected),  # type: ignore[arg-type]
            reason=reason,
            seen_number=seen_number,
        )

    return make


def filed(received: Received) -> int:
    assert received.recording is not None
    return received.recording.id


def test_the_corrected_identity_stands_and_the_former_is_kept(
    desk: Desk, order: OrderSummary, wish: Say
) -> None:
    amended = amend_identity(desk, wish(birth_date=date(1961, 5, 18)))
    standing = open_order(desk, order.id).order
    assert standing.patient == replace(
        order.patient, identifier="Q-77", birth_date=date(1961, 5, 18)
    )
    assert standing.amendments == (amended,)
    assert (amended.before, amended.who, amended.reason) == (order.patient, "Robin", "mistyped")
    (entry,) = list_trail(desk, count=1)
    assert (entry.what, entry.subject_kind) == ("amended the identity", "patient")
    assert entry.detail["before"] != entry.detail["after"]
    assert check_trail(desk).broken is None


def test_recordings_are_found_under_the_old_and_the_new_number(
    desk: Desk, drop: Drop, order: OrderSummary, wish: Say
) -> None:
    under_order = filed(drop())
    stray = filed(drop(seed=2, start="2026-01-02T08:00:00"))
    amend_identity(desk, wish())
    newer = filed(drop(seed=3, patient_id="Q-77", start="2026-01-03T08:00:00"))
    for number in ("Q-7", "Q-77"):
        history = open_patient(desk, number)
        assert history.patient.identifier == "Q-77"
        assert history.numbers == ("Q-77", "Q-7")
        assert {each.summary.id for each in history.visits} == {under_order, stray, newer}


def test_the_file_stays_as_it_came_and_what_leaves_the_house_says_so(
    desk: Desk, drop: Drop, order: OrderSummary, wish: Say
) -> None:
    recording_id = filed(drop())
    original = take_along(desk, recording_id, FileKind.ORIGINAL).content
    amend_identity(desk, wish())
    assert take_along(desk, recording_id, FileKind.ORIGINAL).content == original
    assert open_recording(desk, recording_id).recording.patient.identifier == "Q-7"
    taken = take_along(desk, recording_id, FileKind.CSV)
    back = read_parcel(Parcel(files=(ArrivedFile(name="a.csv", content=taken.content),)))
    assert back.patient.identifier == "Q-77"
    assert any(
        each.startswith("Identity amended by Robin, 2026-03-02 08:")
        and "patient number Q-7 became Q-77 (mistyped)" in each
        for each in back.remarks
    )
    assert any("The file states Fernhollow, Ines, Q-7" in each for each in back.remarks)


def test_a_person_known_from_files_alone_can_be_corrected(desk: Desk, drop: Drop) -> None:
    stray = filed(drop(patient_id="Z-1", birth_date=None))
    right = Patient(identifier="Z-2", family_name="Fernhollow", given_name="Ines")
    made = amend_identity(
        desk, IdentityWish(patient_number="Z-1", patient=right, reason="x", seen_number=0)
    )
    assert made.before.identifier == "Z-1"
    for number in ("Z-1", "Z-2"):
        assert [each.summary.id for each in open_patient(desk, number).visits] == [stray]


def test_an_old_number_that_somebody_has_is_theirs(
    desk: Desk, drop: Drop, order: OrderSummary, wish: Say
) -> None:
    amend_identity(desk, wish())
    add_order(desk, NewOrder(patient=Patient(identifier="Q-7", family_name="Other")))
    stray = filed(drop(start="2026-01-02T08:00:00"))
    assert open_patient(desk, "Q-7").patient.family_name == "Other"
    assert [each.summary.id for each in open_patient(desk, "Q-7").visits] == [stray]
    assert open_patient(desk, "Q-77").numbers == ("Q-77",)
    assert open_patient(desk, "Q-77").visits == ()


def test_a_corrected_number_is_not_given_to_the_same_person_again(
    desk: Desk, order: OrderSummary, wish: Say
) -> None:
    amend_identity(desk, wish())
    with pytest.raises(InvalidInput, match="was corrected to Q-77; give that number"):
        add_order(desk, NewOrder(patient=order.patient))


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"reason": " "}, "the reason is empty"),
        ({"reason": "x" * 2001}, "the reason has 2001 characters"),
        ({"identifier": "Q-7"}, "nothing is changed"),
        ({"identifier": ""}, "the patient number is empty"),
        ({"family_name": "", "given_name": ""}, "the name is empty"),
        ({"identifier": "T-9"}, "the patient number T-9 is that of Taken"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_changed(
    desk: Desk, order: OrderSummary, wish: Say, changed: dict[str, object], sentence: str
) -> None:
    add_order(desk, NewOrder(patient=Patient(identifier="T-9", family_name="Taken")))
    with pytest.raises(InvalidInput, match=sentence):
        amend_identity(desk, wish(**changed))
    assert open_order(desk, order.id).order == order


def test_two_people_cannot_both_correct_and_nobody_corrects_nobody(desk: Desk, wish: Say) -> None:
    amend_identity(desk, wish())
    with pytest.raises(Conflict, match="Robin amended this identity meanwhile"):
        amend_identity(desk, wish(identifier="Q-78"))
    amend_identity(desk, wish(identifier="Q-78", seen_number=1))
    assert open_patient(desk, "Q-7").numbers == ("Q-78", "Q-7", "Q-77")
    with pytest.raises(NotFound, match="nobody has the patient number 'N-0'"):
        amend_identity(desk, replace(wish(), patient_number="N-0"))
