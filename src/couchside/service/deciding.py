"""A person decides on a recording, or says that none is to be had: not possible, or gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.quality.model import Verdict
from couchside.service.chains import Chain, load_chains
from couchside.service.desk import Desk
from couchside.service.summaries import DecisionSummary, State
from couchside.service.summarise import summarise_decision
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.decisions import (
    list_decisions_on_orders,
    list_decisions_on_recordings,
)
from couchside.store.queries.orders import get_order
from couchside.store.queries.recordings import (
    find_attempt_of,
    get_newest_assessment,
    get_recording,
)
from couchside.store.tables import DecisionRow
from couchside.store.words import DecisionKind

_KEEP = {DecisionKind.KEEP, DecisionKind.KEEP_WITH_REMARK}
_OF_ORDERS_ALONE = {DecisionKind.GONE, DecisionKind.EXPECTED_AGAIN}
_CLOSE_ORDERS = {DecisionKind.COULD_NOT_BE_RECORDED, DecisionKind.GONE}
_NEED_A_REASON = _CLOSE_ORDERS | {DecisionKind.RECORD_AGAIN}


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingDecision:
    """What a person wants done with a recording.

    `seen_number` is the number of the decision that the person saw standing, 0 for none: if another
    one has been made since, nothing is changed. KEEP_WITH_REMARK wants a remark, RECORD_AGAIN and
    COULD_NOT_BE_RECORDED want a reason, and so does keeping what is advised to be recorded again:
    the best obtainable.
    """

    recording_id: int
    kind: DecisionKind
    seen_number: int
    reason: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderDecision:
    """What a person says of an order for which no recording is kept; `seen_number` as above.

    COULD_NOT_BE_RECORDED and GONE close it and want a reason; EXPECTED_AGAIN takes that back.
    """

    order_id: int
    kind: DecisionKind
    seen_number: int
    reason: str = ""
    remark: str = ""


def decide(desk: Desk, wish: RecordingDecision) -> DecisionSummary:
    """Put a decision on a recording in place of the one seen.

    Raises NotFound, InvalidInput where a reason or remark is missing or the recording lies under no
    order, Conflict where somebody else decided meanwhile.
    """
    reason, remark = wish.reason.strip(), wish.remark.strip()
    _check_words(wish.kind, reason, remark)
    if wish.kind in _OF_ORDERS_ALONE:
        raise InvalidInput(f"{wish.kind.value} is said of a person; say it on the person's page")
    with desk.store.writing() as session:
        recording = get_recording(session, wish.recording_id)
        _check_filed(session, recording.id)
        assessment = get_newest_assessment(session, recording.id)
        _check_against_advice(wish.kind, reason, assessment.verdict)
        earlier = list_decisions_on_recordings(session, [recording.id])[recording.id]
        _check_seen(earlier, wish.seen_number)
        decision = DecisionRow(
            recording_id=recording.id,
            number=wish.seen_number + 1,
            kind=wish.kind,
            reason=reason,
            remark=remark,
            who=desk.who,
            decided_at=desk.now(),
            assessment=assessment,
        )
        _add(session, desk, decision, subject=Subject.RECORDING, subject_id=recording.id)
        return summarise_decision(decision)


def decide_on_order(desk: Desk, wish: OrderDecision) -> DecisionSummary:
    """Say that an order's person could not be recorded, is gone, or is expected again after all.

    Raises NotFound, InvalidInput where the reason is missing, a recording is kept for the order or
    waits for a decision, or nothing is to be taken back, Conflict where somebody else decided
    meanwhile.
    """
    reason, remark = wish.reason.strip(), wish.remark.strip()
    _check_words(wish.kind, reason, remark)
    with desk.store.writing() as session:
        order = get_order(session, wish.order_id)
        chain = load_chains(session, [order])[0]
        _check_order_kind(wish.kind, chain)
        _check_seen(list_decisions_on_orders(session, [order.id])[order.id], wish.seen_number)
        decision = DecisionRow(
            order_id=order.id,
            number=wish.seen_number + 1,
            kind=wish.kind,
            reason=reason,
            remark=remark,
            who=desk.who,
            decided_at=desk.now(),
        )
        _add(session, desk, decision, subject=Subject.ORDER, subject_id=order.id)
        return summarise_decision(decision)


def _check_words(kind: DecisionKind, reason: str, remark: str) -> None:
    if kind is DecisionKind.KEEP_WITH_REMARK and not remark:
        raise InvalidInput("the remark is empty; write what the reader should know, or just keep")
    if kind in _NEED_A_REASON and not reason:
        raise InvalidInput(f"the reason is empty; write why: {kind.value}")
    check_length("reason", reason, LONGEST_TEXT)
    check_length("remark", remark, LONGEST_TEXT)


def _check_order_kind(kind: DecisionKind, chain: Chain) -> None:
    if kind not in _CLOSE_ORDERS | {DecisionKind.EXPECTED_AGAIN}:
        raise InvalidInput(f"{kind.value} is said of a recording; decide on that recording instead")
    if chain.kept:
        raise InvalidInput("a recording is kept for this order; decide on that recording instead")
    is_closed = chain.on_order is not None and chain.on_order.kind in _CLOSE_ORDERS
    if kind is DecisionKind.EXPECTED_AGAIN and not is_closed:
        raise InvalidInput("this person is expected already; nothing is to be taken back")
    if chain.state is State.TO_DECIDE:
        raise InvalidInput("a recording of this person waits for a decision; decide on it first")


def _check_filed(session: Session, recording_id: int) -> None:
    # A decision that stands under nobody's name would be seen by nobody.
    if find_attempt_of(session, recording_id) is None:
        raise InvalidInput(
            "the recording lies under no order; file it under its person first, then decide"
        )


def _check_against_advice(kind: DecisionKind, reason: str, verdict: Verdict) -> None:
    if kind in _KEEP and verdict is Verdict.RECORD_AGAIN and not reason:
        raise InvalidInput(
            "recording again is advised; give the reason why this one is kept all the same"
        )


def _check_seen(earlier: Sequence[DecisionRow], seen_number: int) -> None:
    standing = earlier[-1] if earlier else None
    if (standing.number if standing else 0) == seen_number:
        return
    if standing is None:
        raise Conflict("no decision stands here; look again and repeat")
    raise Conflict(
        f"{standing.who} decided meanwhile: {standing.kind.value}; look again and repeat if need be"
    )


def _add(
    session: Session, desk: Desk, decision: DecisionRow, *, subject: Subject, subject_id: int
) -> None:
    session.add(decision)
    session.flush()
    write_trail(
        session,
        desk,
        Deed.DECIDED,
        subject=subject,
        subject_id=subject_id,
        detail={
            "decision": decision.id,
            "number": decision.number,
            "kind": decision.kind.value,
            "reason": decision.reason,
            "remark": decision.remark,
            "verdict_shown": decision.assessment.verdict.value if decision.assessment else None,
        },
    )
