from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside.errors import Conflict, InvalidInput, NotFound
from couchside.recording import Patient
from couchside.service.deciding import RecordingDecision, decide
from couchside.service.desk import Desk
from couchside.service.matching import match, move
from couchside.service.opening import open_recording
from couchside.service.ordering import NewOrder, add_order
from couchside.service.receiving import Received
from couchside.service.rounds import list_round, open_order
from couchside.service.summaries import OrderSummary, State
from couchside.store.queries.trail import list_audit_entries
from couchside.store.words import DecisionKind, FiledBy

Drop = Callable[..., Received]
Deeds = Callable[[], list[tuple[str, str, str]]]


def person(number: int) -> Patient:
    return Patient(identifier=f"P-{number}", family_name="Berg")


@pytest.fixture
def other(desk: Desk) -> OrderSummary:
    return add_order(desk, NewOrder(patient=person(1)))


def number_of(received: Received) -> int:
    assert received.recording is not None
    return received.recording.id


def test_a_stray_recording_is_matched_by_hand(
    desk: Desk, drop: Drop, order: OrderSummary, deeds: Deeds
) -> None:
    stray = drop(patient_id="unknown").recording
    assert stray is not None
    attempt = match(desk, recording_id=stray.id, order_id=order.id)
    assert (attempt.number, attempt.filed_by) == (1, FiledBy.HAND)
    listed = list_round(desk)
    assert listed.unmatched == ()
    assert listed.entries[0].latest == attempt
    assert deeds()[-1] == ("Robin", "filed under an order", "recording")


def test_a_recording_lies_under_one_order_at_most(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    recording = drop().recording
    assert recording is not None
    other = add_order(desk, NewOrder(patient=person(1)))
    with pytest.raises(Conflict, match="already lies under the order for Fernhollow, Ines"):
        match(desk, recording_id=recording.id, order_id=other.id)


def test_matching_what_is_not_there_is_refused(desk: Desk, drop: Drop, order: OrderSummary) -> None:
    recording = drop(patient_id="unknown").recording
    assert recording is not None
    with pytest.raises(NotFound, match="there is no order 99"):
        match(desk, recording_id=recording.id, order_id=99)
    with pytest.raises(NotFound, match="there is no recording 99"):
        match(desk, recording_id=99, order_id=order.id)


def test_a_recording_filed_under_the_wrong_order_is_moved(
    desk: Desk, drop: Drop, order: OrderSummary, other: OrderSummary
) -> None:
    first, second = number_of(drop(seed=1)), number_of(drop(seed=2))
    keep = RecordingDecision(recording_id=first, kind=DecisionKind.KEEP, seen_number=0)
    decision = decide(desk, keep)
    attempt = move(
        desk, recording_id=first, from_order_id=order.id, order_id=other.id, reason=" mixed up "
    )
    assert (attempt.number, attempt.filed_by, attempt.decision) == (1, FiledBy.HAND, decision)
    assert open_order(desk, other.id).state is State.KEPT
    left = open_order(desk, order.id)
    assert (left.state, left.attempt_count) == (State.TO_DECIDE, 1)
    assert left.latest is not None
    assert (left.latest.recording_id, left.latest.number) == (second, 2)
    third = open_recording(desk, number_of(drop(seed=3)))
    assert third.attempt_number == 3
    with desk.store.reading() as session:
        entry = next(each for each in list_audit_entries(session) if "moved" in each.what)
    assert entry.detail == {
        "from_order": order.id,
        "from_attempt": 1,
        "order": other.id,
        "attempt": 1,
        "reason": "mixed up",
    }


def test_a_recording_can_be_moved_back(
    desk: Desk, drop: Drop, order: OrderSummary, other: OrderSummary
) -> None:
    first = number_of(drop())
    for here, there in ((order, other), (other, order)):
        move(desk, recording_id=first, from_order_id=here.id, order_id=there.id, reason="why")
    assert open_recording(desk, first).order == order


def test_moving_wants_a_reason_and_another_order(
    desk: Desk, drop: Drop, order: OrderSummary, other: OrderSummary
) -> None:
    first = number_of(drop())

    def go(from_id: int, to_id: int, reason: str = "mixed up") -> None:
        move(desk, recording_id=first, from_order_id=from_id, order_id=to_id, reason=reason)

    with pytest.raises(InvalidInput, match="the reason is empty"):
        go(order.id, other.id, reason=" ")
    with pytest.raises(InvalidInput, match="under that order already"):
        go(order.id, order.id)
    with pytest.raises(Conflict, match="filed elsewhere meanwhile"):
        go(other.id, order.id)
    with pytest.raises(NotFound, match="there is no order 99"):
        go(order.id, 99)
    assert open_recording(desk, first).order == order
