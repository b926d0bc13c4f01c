from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from couchside.errors import Conflict, InvalidInput, NotFound
from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.quality import Verdict
from couchside.recording import OrderReference
from couchside.service.deciding import (
    OrderDecision,
    RecordingDecision,
    decide,
    decide_on_order,
)
from couchside.service.desk import Desk
from couchside.service.opening import open_recording
from couchside.service.receiving import Received, receive
from couchside.service.rounds import RoundEntry, list_round, open_order
from couchside.service.summaries import OrderSummary, State
from couchside.simulate import get_scenario, simulate
from couchside.store.words import DecisionKind, Source

Drop = Callable[..., Received]
Deeds = Callable[[], list[tuple[str, str, str]]]
KEEP, AGAIN = DecisionKind.KEEP, DecisionKind.RECORD_AGAIN
NOT_RECORDED = DecisionKind.COULD_NOT_BE_RECORDED
GONE, EXPECTED = DecisionKind.GONE, DecisionKind.EXPECTED_AGAIN


@pytest.fixture
def first(drop: Drop, order: OrderSummary) -> int:
    """The recording that is the order's first attempt."""
    return number_of(drop(seed=1))


def number_of(received: Received) -> int:
    assert received.recording is not None
    return received.recording.id


def entry_of(desk: Desk) -> RoundEntry:
    (entry,) = list_round(desk).entries
    return entry


def wish(
    recording_id: int,
    kind: DecisionKind,
    *,
    seen_number: int = 0,
    reason: str = "",
    remark: str = "",
) -> RecordingDecision:
    return RecordingDecision(
        recording_id=recording_id,
        kind=kind,
        seen_number=seen_number,
        reason=reason,
        remark=remark,
    )


def say(
    order_id: int, kind: DecisionKind, *, seen_number: int = 0, reason: str = ""
) -> OrderDecision:
    return OrderDecision(order_id=order_id, kind=kind, seen_number=seen_number, reason=reason)


@pytest.mark.parametrize(
    ("kind", "state"),
    [
        (DecisionKind.KEEP, State.KEPT),
        (DecisionKind.KEEP_WITH_REMARK, State.KEPT_WITH_REMARK),
        (DecisionKind.RECORD_AGAIN, State.TO_BE_REPEATED),
        (DecisionKind.COULD_NOT_BE_RECORDED, State.COULD_NOT_BE_RECORDED),
    ],
)
def test_a_decision_makes_the_state(
    desk: Desk, first: int, kind: DecisionKind, state: State
) -> None:
    assert entry_of(desk).state is State.TO_DECIDE
    decided = decide(desk, wish(first, kind, reason="loose wire", remark="tremor"))
    entry = entry_of(desk)
    assert entry.state is state
    assert entry.decision == decided
    opened = open_recording(desk, first)
    assert opened.decision == decided
    assert opened.order_state is state
    assert decided.who == "Robin"
    assert decided.verdict_shown is opened.assessment.verdict


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (DecisionKind.KEEP_WITH_REMARK, "the remark is empty"),
        (DecisionKind.RECORD_AGAIN, "the reason is empty; write why: record again"),
        (DecisionKind.COULD_NOT_BE_RECORDED, "the reason is empty"),
    ],
)
def test_without_its_words_a_decision_is_refused(
    desk: Desk, first: int, kind: DecisionKind, sentence: str
) -> None:
    with pytest.raises(InvalidInput, match=sentence):
        decide(desk, wish(first, kind, reason=" ", remark="  "))
    assert entry_of(desk).state is State.TO_DECIDE


def test_two_people_who_saw_the_same_cannot_both_decide(
    desk: Desk, first: int, deeds: Deeds
) -> None:
    decide(desk, wish(first, KEEP))
    before = deeds()
    with pytest.raises(Conflict, match="Robin decided meanwhile: keep; look again"):
        decide(replace(desk, who="Sam"), wish(first, AGAIN, reason="wander"))
    assert entry_of(desk).state is State.KEPT
    assert deeds() == before


def test_a_decision_takes_the_place_of_the_one_seen_and_both_stay(desk: Desk, first: int) -> None:
    kept = decide(desk, wish(first, KEEP))
    again = decide(desk, wish(first, AGAIN, seen_number=1, reason="wander"))
    opened = open_recording(desk, first)
    assert opened.decisions == (kept, again)
    assert opened.decision_number == 2
    assert opened.order_state is State.TO_BE_REPEATED


def test_a_decision_never_seen_cannot_be_replaced(desk: Desk, first: int) -> None:
    with pytest.raises(Conflict, match="no decision stands here"):
        decide(desk, wish(first, KEEP, seen_number=3))


def test_there_is_no_deciding_on_nothing(desk: Desk) -> None:
    with pytest.raises(NotFound, match="there is no recording 99"):
        decide(desk, wish(99, KEEP))
    with pytest.raises(NotFound, match="there is no order 99"):
        decide_on_order(desk, say(99, GONE, reason="x"))


def test_the_next_attempt_awaits_its_own_decision(desk: Desk, drop: Drop, first: int) -> None:
    decide(desk, wish(first, AGAIN, reason="wander"))
    second = number_of(drop(seed=2))
    assert entry_of(desk).state is State.TO_DECIDE
    decide(desk, wish(second, KEEP))
    assert entry_of(desk).state is State.KEPT
    chain = open_recording(desk, second).attempts
    assert [(each.number, each.recording_id) for each in chain] == [(1, first), (2, second)]
    assert [each.decision.kind for each in chain if each.decision] == [AGAIN, KEEP]


def test_refusing_the_first_attempt_late_leaves_the_second_to_decide(
    desk: Desk, drop: Drop, first: int
) -> None:
    drop(seed=2)
    decide(desk, wish(first, AGAIN, reason="wander"))
    assert entry_of(desk).state is State.TO_DECIDE
    assert entry_of(desk).decision is None


def test_keeping_the_first_attempt_after_all_settles_the_order(
    desk: Desk, drop: Drop, first: int
) -> None:
    drop(seed=2)
    decide(desk, wish(first, KEEP))
    entry = entry_of(desk)
    assert entry.state is State.KEPT
    assert entry.kept is not None
    assert entry.kept.recording_id == first


def test_a_kept_attempt_stays_kept_when_a_worse_one_is_refused(
    desk: Desk, drop: Drop, first: int
) -> None:
    second = number_of(drop(seed=2))
    decide(desk, wish(first, KEEP))
    decide(desk, wish(second, AGAIN, reason="wander"))
    assert entry_of(desk).state is State.KEPT


def test_nobody_recorded_is_an_answer_too(desk: Desk, order: OrderSummary, deeds: Deeds) -> None:
    decided = decide_on_order(desk, say(order.id, NOT_RECORDED, reason="declined"))
    entry = open_order(desk, order.id)
    assert entry.state is State.COULD_NOT_BE_RECORDED
    assert entry.decision == decided
    assert entry.on_order == decided
    assert decided.verdict_shown is None
    assert deeds()[-1] == ("Robin", "decided", "order")


def test_a_recording_after_all_is_to_be_decided_on(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    decide_on_order(desk, say(order.id, NOT_RECORDED, reason="asleep"))
    drop(accession_number="A-1")
    assert entry_of(desk).state is State.TO_DECIDE


def test_an_order_with_a_kept_recording_was_recorded(desk: Desk, first: int) -> None:
    decide(desk, wish(first, KEEP))
    with pytest.raises(InvalidInput, match="a recording is kept for this order"):
        decide_on_order(desk, say(1, GONE, reason="left"))


def test_who_is_gone_is_settled_and_may_be_expected_again(
    desk: Desk, order: OrderSummary, deeds: Deeds
) -> None:
    gone = decide_on_order(desk, say(order.id, GONE, reason="went home"))
    entry = open_order(desk, order.id)
    assert (entry.state, entry.decision) == (State.GONE, gone)
    assert entry.state.is_settled
    decide_on_order(desk, say(order.id, EXPECTED, seen_number=1))
    entry = open_order(desk, order.id)
    assert (entry.state, entry.decision) == (State.WAITING, None)
    assert deeds()[-2:] == [("Robin", "decided", "order")] * 2


def test_who_left_before_the_repeat_is_gone_until_the_repeat_arrives(
    desk: Desk, drop: Drop, first: int, order: OrderSummary
) -> None:
    decide(desk, wish(first, AGAIN, reason="wander"))
    decide_on_order(desk, say(order.id, GONE, reason="did not wait"))
    assert entry_of(desk).state is State.GONE
    decide_on_order(desk, say(order.id, EXPECTED, seen_number=1))
    assert entry_of(desk).state is State.TO_BE_REPEATED
    decide_on_order(desk, say(order.id, GONE, seen_number=2, reason="left after all"))
    drop(seed=2)
    assert entry_of(desk).state is State.TO_DECIDE


def test_nobody_is_gone_while_a_recording_waits(desk: Desk, first: int) -> None:
    with pytest.raises(InvalidInput, match="waits for a decision; decide on it first"):
        decide_on_order(desk, say(1, GONE, reason="left"))
    assert entry_of(desk).state is State.TO_DECIDE


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (EXPECTED, "expected already"),
        (KEEP, "said of a recording"),
        (GONE, "the reason is empty"),
    ],
)
def test_what_cannot_be_said_of_a_person_is_refused(
    desk: Desk, order: OrderSummary, kind: DecisionKind, sentence: str
) -> None:
    with pytest.raises(InvalidInput, match=sentence):
        decide_on_order(desk, say(order.id, kind))
    assert entry_of(desk).state is State.WAITING


def test_no_recording_is_gone(desk: Desk, first: int) -> None:
    with pytest.raises(InvalidInput, match="gone is said of a person"):
        decide(desk, wish(first, GONE, reason="left"))


def test_two_people_cannot_both_say_it(desk: Desk, order: OrderSummary) -> None:
    decide_on_order(desk, say(order.id, GONE, reason="left"))
    with pytest.raises(Conflict, match="Robin decided meanwhile: gone"):
        decide_on_order(replace(desk, who="Sam"), say(order.id, NOT_RECORDED, reason="asleep"))


def test_a_recording_under_no_order_is_filed_before_it_is_decided_on(
    desk: Desk, drop: Drop
) -> None:
    stray = number_of(drop())
    with pytest.raises(InvalidInput, match="lies under no order; file it under its person first"):
        decide(desk, wish(stray, KEEP))
    (listed,) = list_round(desk).unmatched
    assert listed.decision is None


def test_keeping_against_the_advice_wants_a_reason(desk: Desk, order: OrderSummary) -> None:
    recording = replace(
        simulate(get_scenario("mains-on-v3")).recording,
        patient=order.patient,
        start=desk.now(),
        order=OrderReference(accession_number=order.accession),
    )
    parcel = Parcel(files=(ArrivedFile(name="faulty.dcm", content=write_dicom(recording)),))
    faulty = number_of(receive(desk, parcel, source=Source.UPLOAD))
    assert entry_of(desk).verdict is Verdict.RECORD_AGAIN
    with pytest.raises(InvalidInput, match="recording again is advised; give the reason"):
        decide(desk, wish(faulty, KEEP))
    decide(desk, wish(faulty, KEEP, reason="the person had to leave"))
    assert entry_of(desk).state is State.KEPT
