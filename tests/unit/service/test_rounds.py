from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from couchside.errors import InvalidInput, NotFound
from couchside.recording import Patient, Sex
from couchside.service.desk import Desk
from couchside.service.matching import match
from couchside.service.ordering import NewOrder, add_order
from couchside.service.receiving import Received
from couchside.service.rounds import list_round, open_order
from couchside.service.set_aside import set_problem_aside
from couchside.service.summaries import OrderSummary, State
from couchside.store.tables import OrderRow
from couchside.store.words import OrderStatus, Urgency

Drop = Callable[..., Received]
Deeds = Callable[[], list[tuple[str, str, str]]]


def person(number: int, family_name: str = "Berg") -> Patient:
    return Patient(identifier=f"P-{number}", family_name=family_name)


def test_a_day_without_orders_is_an_empty_round(desk: Desk) -> None:
    listed = list_round(desk)
    assert listed.day == date(2026, 3, 2)
    assert (listed.entries, listed.unmatched, listed.problems) == ((), (), ())


def test_a_person_put_on_the_round_waits(desk: Desk, patient: Patient, deeds: Deeds) -> None:
    added = add_order(
        desk,
        NewOrder(
            patient=patient,
            accession=" A-1 ",
            place=" Ward 3 ",
            due_at=datetime(2026, 3, 2, 9, 0),  # noqa: DTZ001 - on the clinic's clock
            reason="palpitations",
        ),
    )
    (entry,) = list_round(desk).entries
    assert entry.order == added
    assert (entry.state, entry.attempt_count, entry.latest) == (State.WAITING, 0, None)
    assert added.patient == patient
    assert (added.accession, added.place, added.day) == ("A-1", "Ward 3", date(2026, 3, 2))
    assert added.due_at == datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
    assert deeds() == [("Robin", "ordered", "order")]


def test_people_stand_by_place_then_urgency_then_time_then_name(desk: Desk) -> None:
    nine, ten = (datetime(2026, 3, 2, hour, tzinfo=UTC) for hour in (9, 10))
    for number, order in enumerate(
        [
            NewOrder(patient=person(1), place="B"),
            NewOrder(patient=person(2, "Zorn"), place="A"),
            NewOrder(patient=person(3, "Amsel"), place="A"),
            NewOrder(patient=person(4), place="A", due_at=ten),
            NewOrder(patient=person(5), place="A", due_at=nine),
            NewOrder(patient=person(6), place="A", urgency=Urgency.STAT),
            NewOrder(patient=person(7), place="a", urgency=Urgency.URGENT),
        ]
    ):
        assert add_order(desk, order).id == number + 1
    listed = [entry.order.patient.identifier for entry in list_round(desk).entries]
    assert listed == ["P-6", "P-7", "P-5", "P-4", "P-3", "P-2", "P-1"]


def test_each_day_has_its_own_round(desk: Desk) -> None:
    tomorrow = date(2026, 3, 3)
    added = add_order(desk, NewOrder(patient=person(1), day=tomorrow))
    assert list_round(desk).entries == ()
    assert list_round(desk, tomorrow).entries == (open_order(desk, added.id),)


def test_the_day_is_the_clinics_own(desk: Desk, clock: object) -> None:
    late = datetime(2026, 3, 2, 22, 30, tzinfo=UTC)  # half past midnight in the clinic
    at_night = Desk(store=desk.store, who="Robin", clock=lambda: late, zone=desk.zone)
    assert list_round(at_night).day == date(2026, 3, 3)


def test_a_withdrawn_order_is_off_the_round(desk: Desk, order: OrderSummary, drop: Drop) -> None:
    with desk.store.writing() as session:
        session.get_one(OrderRow, order.id).status = OrderStatus.WITHDRAWN
    assert list_round(desk).entries == ()
    assert drop(accession_number="A-1").sentence.endswith("because the order A-1 was withdrawn")


@pytest.mark.parametrize(
    ("patient", "sentence"),
    [
        (Patient(family_name="Berg"), "the patient number is empty"),
        (Patient(identifier=" ", family_name="Berg"), "the patient number is empty"),
        (Patient(identifier="P-1"), "the name is empty"),
    ],
)
def test_a_person_wants_a_number_and_a_name(desk: Desk, patient: Patient, sentence: str) -> None:
    with pytest.raises(InvalidInput, match=sentence):
        add_order(desk, NewOrder(patient=patient))


def test_an_accession_number_belongs_to_one_order(desk: Desk, order: OrderSummary) -> None:
    with pytest.raises(InvalidInput, match="there is an order A-1 already"):
        add_order(desk, NewOrder(patient=person(1), accession="A-1"))


def test_any_number_of_orders_may_lack_an_accession_number(desk: Desk) -> None:
    for _ in range(2):
        add_order(desk, NewOrder(patient=person(1)))
    assert len(list_round(desk).entries) == 2


def test_a_patient_number_belongs_to_one_person(desk: Desk, order: OrderSummary) -> None:
    other = Patient(identifier="Q-7", family_name="Zorn", birth_date=date(2000, 1, 1))
    with pytest.raises(InvalidInput, match="filed with the birth date 1961-05-17"):
        add_order(desk, NewOrder(patient=other))


def test_what_was_not_known_of_a_patient_is_filled_in(desk: Desk, deeds: Deeds) -> None:
    add_order(desk, NewOrder(patient=person(1)))
    known = Patient(identifier="P-1", family_name="Berg", birth_date=date(1980, 1, 2), sex=Sex.MALE)
    assert add_order(desk, NewOrder(patient=known)).patient == known
    assert ("Robin", "completed", "patient") in deeds()


@pytest.mark.parametrize(
    ("field", "longest"),
    [("identifier", 64), ("family_name", 64), ("given_name", 64), ("place", 64), ("accession", 16)],
)
def test_what_is_too_long_is_refused(desk: Desk, field: str, longest: int) -> None:
    def make(text: str) -> NewOrder:
        changes: dict[str, Any] = {field: text}
        if field in {"place", "accession"}:
            return replace(NewOrder(patient=person(1)), **changes)
        return NewOrder(patient=replace(person(1), **changes))

    with pytest.raises(InvalidInput, match=f"has {longest + 1} characters, and up to {longest}"):
        add_order(desk, make("ü" * (longest + 1)))
    assert add_order(desk, make("ü" * longest)).id


def test_a_stray_recording_stays_until_it_is_filed(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    stray = drop(patient_id="unknown").recording
    assert stray is not None
    tomorrow = desk.today() + timedelta(days=1)
    assert len(list_round(desk, tomorrow).unmatched) == 1
    match(desk, recording_id=stray.id, order_id=order.id)
    assert list_round(desk).unmatched == list_round(desk, tomorrow).unmatched == ()


def test_there_is_no_setting_aside_of_nothing(desk: Desk) -> None:
    with pytest.raises(NotFound, match="there is no arrival problem 99"):
        set_problem_aside(desk, 99)
