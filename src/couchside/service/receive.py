"""A parcel arrives: keep its bytes, read it, check it, file it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.formats.parcel import Parcel
from couchside.service.desk import Desk
from couchside.service.summaries import ArrivalProblem, RecordingSummary
from couchside.store.words import Source


class Outcome(StrEnum):
    """What became of a parcel."""

    FILED = "filed"
    UNMATCHED = "unmatched"
    ALREADY_HERE = "already here"
    NOT_READABLE = "not readable"


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What became of a parcel, in one sentence and in detail.

    `recording` is None exactly where `problem` is not; `order_id` is None where the recording lies
    under no order.
    """

    outcome: Outcome
    sentence: str
    recording: RecordingSummary | None
    problem: ArrivalProblem | None
    order_id: int | None


def receive(desk: Desk, parcel: Parcel, *, source: Source) -> Received:
    """Take a parcel in, whatever it is; its bytes are safe before anything else is tried."""
    raise NotImplementedError
