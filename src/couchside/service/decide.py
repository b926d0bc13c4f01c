"""A person decides on a recording, or says that none could be made."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service.desk import Desk
from couchside.service.summaries import DecisionSummary
from couchside.store.words import DecisionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingDecision:
    """What a person wants done with a recording.

    `seen_number` is the number of the decision that the person saw standing, 0 for none: if another
    one has been made since, nothing is changed. KEEP_WITH_REMARK wants a remark, RECORD_AGAIN and
    COULD_NOT_BE_RECORDED want a reason.
    """

    recording_id: int
    kind: DecisionKind
    seen_number: int
    reason: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderNotRecorded:
    """That no recording could be made for an order, and why; `seen_number` as above."""

    order_id: int
    reason: str
    seen_number: int
    remark: str = ""


def decide(desk: Desk, wish: RecordingDecision) -> DecisionSummary:
    """Put a decision on a recording in place of the one seen.

    Raises NotFound, InvalidInput where a reason or remark is missing, Conflict where somebody else
    decided meanwhile.
    """
    raise NotImplementedError


def decide_not_recorded(desk: Desk, wish: OrderNotRecorded) -> DecisionSummary:
    """Say that an order's person could not be recorded.

    Raises NotFound, InvalidInput where the reason is missing, Conflict where somebody else
    decided meanwhile.
    """
    raise NotImplementedError
