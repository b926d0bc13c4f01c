"""A person files a recording that found no order by itself, or that found the wrong one."""

from __future__ import annotations

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.service.desk import Desk
from couchside.service.filing import add_attempt, get_next_number
from couchside.service.look_up import find_chain_of
from couchside.service.pulses import check_no_pulse
from couchside.service.summaries import AttemptSummary
from couchside.service.summarise import summarise_attempt
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.decisions import list_decisions_on_recordings
from couchside.store.queries.orders import get_order
from couchside.store.queries.recordings import (
    find_attempt_of,
    get_recording,
    list_newest_verdicts,
)
from couchside.store.tables import AttemptRow, OrderRow
from couchside.store.words import FiledBy, OrderStatus


def match(desk: Desk, *, recording_id: int, order_id: int) -> AttemptSummary:
    """Attach an unmatched recording to an order as its newest attempt.

    Raises NotFound, InvalidInput where the order was withdrawn, and Conflict where the recording
    already lies under an order.
    """
    with desk.store.writing() as session:
        recording = get_recording(session, recording_id)
        check_no_pulse(session, recording.id)
        order = _get_standing_order(session, order_id)
        taken = find_chain_of(session, recording.id)
        if taken is not None:
            name = taken.order.patient.full_name
            raise Conflict(f"the recording already lies under the order for {name}; look again")
        return _summarise(session, add_attempt(session, desk, order, recording, FiledBy.HAND))


def move(
    desk: Desk, *, recording_id: int, from_order_id: int, order_id: int, reason: str
) -> AttemptSummary:
    """Take a recording from the order it lies under to another, as its newest attempt.

    What was decided on the recording stays with it, and the trail keeps where it lay. Raises
    NotFound, InvalidInput where the reason is missing, the order was withdrawn or is the same, and
    Conflict where the recording lies under `from_order_id` no longer.
    """
    _check_reason(reason.strip())
    with desk.store.writing() as session:
        attempt = find_attempt_of(session, get_recording(session, recording_id).id)
        order = _get_standing_order(session, order_id)
        if attempt is None or attempt.order_id != from_order_id:
            raise Conflict("the recording was filed elsewhere meanwhile; look again")
        if order.id == from_order_id:
            raise InvalidInput("the recording lies under that order already; choose another one")
        _move(session, desk, attempt, order, reason.strip())
        return _summarise(session, attempt)


def _get_standing_order(session: Session, order_id: int) -> OrderRow:
    order = get_order(session, order_id)
    if order.status is OrderStatus.WITHDRAWN:
        raise InvalidInput("that order was withdrawn; choose another one from the round")
    return order


def _check_reason(reason: str) -> None:
    if not reason:
        raise InvalidInput("the reason is empty; write why the recording belongs elsewhere")
    check_length("reason", reason, LONGEST_TEXT)


def _move(session: Session, desk: Desk, attempt: AttemptRow, order: OrderRow, reason: str) -> None:
    left = {"from_order": attempt.order_id, "from_attempt": attempt.number}
    attempt.number = get_next_number(session, order)
    attempt.order_id = order.id
    attempt.filed_by = FiledBy.HAND
    attempt.filed_at, attempt.filed_by_person = desk.now(), desk.who
    session.flush()
    write_trail(
        session,
        desk,
        Deed.MOVED,
        subject=Subject.RECORDING,
        subject_id=attempt.recording_id,
        detail={**left, "order": order.id, "attempt": attempt.number, "reason": reason},
    )


def _summarise(session: Session, attempt: AttemptRow) -> AttemptSummary:
    verdict = list_newest_verdicts(session, [attempt.recording_id])[attempt.recording_id]
    decisions = list_decisions_on_recordings(session, [attempt.recording_id])
    return summarise_attempt(attempt, verdict, decisions[attempt.recording_id])
