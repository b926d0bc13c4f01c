"""The chain of an order: its attempts, the decisions on them, and the state that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.service.summaries import (
    AttemptSummary,
    DecisionSummary,
    OrderSummary,
    State,
)
from couchside.service.summarise import summarise_attempt, summarise_decision, summarise_order
from couchside.store.queries.decisions import (
    list_decisions_on_orders,
    list_decisions_on_recordings,
)
from couchside.store.queries.recordings import list_attempts, list_newest_verdicts
from couchside.store.tables import DecisionRow, OrderRow
from couchside.store.words import DecisionKind

_STATE_AFTER = {
    DecisionKind.KEEP: State.KEPT,
    DecisionKind.KEEP_WITH_REMARK: State.KEPT_WITH_REMARK,
    DecisionKind.RECORD_AGAIN: State.TO_BE_REPEATED,
    DecisionKind.COULD_NOT_BE_RECORDED: State.COULD_NOT_BE_RECORDED,
    DecisionKind.GONE: State.GONE,
}
_KEPT = {DecisionKind.KEEP, DecisionKind.KEEP_WITH_REMARK}


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """An order, its attempts, first one first, and the decision `on_order` itself that stands."""

    order: OrderSummary
    attempts: tuple[AttemptSummary, ...]
    on_order: DecisionSummary | None

    @property
    def latest(self) -> AttemptSummary | None:
        """The newest attempt."""
        return self.attempts[-1] if self.attempts else None

    @property
    def kept(self) -> AttemptSummary | None:
        """The newest attempt that is kept."""
        kept = [
            attempt
            for attempt in self.attempts
            if attempt.decision and attempt.decision.kind in _KEPT
        ]
        return kept[-1] if kept else None

    @property
    def decision(self) -> DecisionSummary | None:
        """The decision that made the state; None while one is awaited."""
        if self._awaits_decision:
            return None
        if self.kept:
            return self.kept.decision
        return max(self._decisions, key=lambda decision: decision.decided_at, default=None)

    @property
    def state(self) -> State:
        """What has come of the order so far."""
        if self.decision:
            return _STATE_AFTER[self.decision.kind]
        return State.TO_DECIDE if self.attempts else State.WAITING

    @property
    def _awaits_decision(self) -> bool:
        # That an older attempt is to be repeated says nothing about the newer one.
        latest = self.latest
        return (
            latest is not None
            and latest.decision is None
            and all(
                decision.kind is DecisionKind.RECORD_AGAIN or decision.decided_at < latest.filed_at
                for decision in self._decisions
            )
        )

    @property
    def _decisions(self) -> tuple[DecisionSummary, ...]:
        on_attempts = tuple(each.decision for each in self.attempts if each.decision)
        if self.on_order is None or self.on_order.kind is DecisionKind.EXPECTED_AGAIN:
            return on_attempts
        return (self.on_order, *on_attempts)


def load_chains(session: Session, orders: Sequence[OrderRow]) -> tuple[Chain, ...]:
    """The chains of orders, in the order given."""
    order_ids = [order.id for order in orders]
    attempts = list_attempts(session, order_ids)
    recording_ids = [row.recording_id for chain in attempts.values() for row in chain]
    verdicts = list_newest_verdicts(session, recording_ids)
    on_recordings = list_decisions_on_recordings(session, recording_ids)
    on_orders = list_decisions_on_orders(session, order_ids)
    return tuple(
        Chain(
            order=summarise_order(order),
            attempts=tuple(
                summarise_attempt(row, verdicts[row.recording_id], on_recordings[row.recording_id])
                for row in attempts[order.id]
            ),
            on_order=_last(on_orders[order.id]),
        )
        for order in orders
    )


def _last(decisions: Sequence[DecisionRow]) -> DecisionSummary | None:
    return summarise_decision(decisions[-1]) if decisions else None
