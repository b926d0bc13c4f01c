"""The people to be recorded on one day, and what has come of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from sqlalchemy.orm import Session

from couchside.quality.model import Verdict
from couchside.service.chains import Chain, load_chains
from couchside.service.desk import Desk
from couchside.service.look_up import look_up_recordings
from couchside.service.summaries import (
    ArrivalProblem,
    AttemptSummary,
    DecisionSummary,
    OrderSummary,
    RecordingSummary,
    State,
)
from couchside.service.summarise import summarise_problem
from couchside.service.trail import get_change_mark
from couchside.store.queries.arrivals import list_open_problems
from couchside.store.queries.orders import get_order, list_open_orders
from couchside.store.queries.recordings import list_unmatched
from couchside.store.words import Urgency


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundEntry:
    """One person of the round.

    `latest` is the newest attempt, None where nothing was recorded yet; `kept` is the attempt that
    is kept. `decision` is the one that made the state, `on_order` the one on the order itself.
    """

    order: OrderSummary
    state: State
    attempt_count: int
    latest: AttemptSummary | None
    kept: AttemptSummary | None
    decision: DecisionSummary | None
    on_order: DecisionSummary | None

    @property
    def verdict(self) -> Verdict | None:
        """The newest attempt's verdict."""
        return self.latest.verdict if self.latest else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A day's people by place, urgency, time and name, and whatever lies under no order.

    `unmatched` are recordings under no order on which nobody has decided, of whatever day, and
    those of this day that were decided on; `problems` are those that nobody has set aside.
    """

    day: date
    entries: tuple[RoundEntry, ...]
    unmatched: tuple[RecordingSummary, ...]
    problems: tuple[ArrivalProblem, ...]


def list_round(desk: Desk, day: date | None = None) -> Round:
    """The round of a day, today's where none is given."""
    wanted = day or desk.today()
    return desk.remembered.recall(
        get_change_mark(desk), ("round", wanted), partial(_list_round, desk, wanted)
    )


def _list_round(desk: Desk, wanted: date) -> Round:
    with desk.store.reading() as session:
        chains = load_chains(session, list_open_orders(session, wanted))
        return Round(
            day=wanted,
            entries=tuple(_make_entry(chain) for chain in sorted(chains, key=_round_order)),
            unmatched=_list_unmatched(session, desk, wanted),
            problems=tuple(summarise_problem(row) for row in list_open_problems(session)),
        )


def open_order(desk: Desk, order_id: int) -> RoundEntry:
    """One person of any round; raises NotFound."""
    with desk.store.reading() as session:
        return _make_entry(load_chains(session, [get_order(session, order_id)])[0])


def _list_unmatched(session: Session, desk: Desk, day: date) -> tuple[RecordingSummary, ...]:
    since, until = desk.span_of(day)
    return look_up_recordings(session, list_unmatched(session, since=since, until=until))


_URGENCIES = tuple(reversed(Urgency))


def _round_order(chain: Chain) -> tuple[str, int, bool, datetime | None, str, int]:
    order = chain.order
    return (
        order.place.casefold(),
        _URGENCIES.index(order.urgency),
        order.due_at is None,
        order.due_at,
        order.patient.full_name.casefold(),
        order.id,
    )


def _make_entry(chain: Chain) -> RoundEntry:
    return RoundEntry(
        order=chain.order,
        state=chain.state,
        attempt_count=len(chain.attempts),
        latest=chain.latest,
        kept=chain.kept,
        decision=chain.decision,
        on_order=chain.on_order,
    )
