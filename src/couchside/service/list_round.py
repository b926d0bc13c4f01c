"""The people to be recorded on one day, and what has come of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from couchside.quality.model import Verdict
from couchside.service.desk import Desk
from couchside.service.summaries import (
    ArrivalProblem,
    AttemptSummary,
    DecisionSummary,
    OrderSummary,
    RecordingSummary,
    State,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundEntry:
    """One person of the round.

    `latest` is the newest attempt, None where nothing was recorded yet. `decision` is the one that
    made the state: the newest attempt's, or that the person could not be recorded.
    """

    order: OrderSummary
    state: State
    attempt_count: int
    latest: AttemptSummary | None
    decision: DecisionSummary | None

    @property
    def verdict(self) -> Verdict | None:
        """The newest attempt's verdict."""
        return self.latest.verdict if self.latest else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A day's people by place, urgency, time and name, and whatever lies under no order.

    `unmatched` and `problems` are all that still want a person, of whatever day.
    """

    day: date
    entries: tuple[RoundEntry, ...]
    unmatched: tuple[RecordingSummary, ...]
    problems: tuple[ArrivalProblem, ...]


def list_round(desk: Desk, day: date | None = None) -> Round:
    """The round of a day, today's where none is given."""
    raise NotImplementedError
