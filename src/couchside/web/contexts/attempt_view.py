"""The chain of attempts for one order, and the decisions on each."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import AttemptSummary, DecisionSummary, Desk, OpenedRecording
from couchside.web.translation import translate
from couchside.web.wording import (
    DECISION_WORDS,
    FILED_BY_WORDS,
    VERDICT_SHAPES,
    format_clock,
    format_moment,
    say,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionView:
    """What a person decided, in words."""

    words: str
    why: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptRow:
    """One link of the chain; `time` is when it was recorded, where the file says so."""

    number: int
    address: str
    is_this: bool
    shape: str
    verdict: str
    time: str
    arrived: str
    filed: str
    decision: DecisionView | None


def view_decision(desk: Desk, decision: DecisionSummary) -> DecisionView:
    """One decision."""
    return DecisionView(
        words=translate(DECISION_WORDS[decision.kind]),
        why=" · ".join(part for part in (decision.reason, decision.remark) if part),
        by=f"{decision.who}, {format_moment(decision.decided_at, desk.zone)}",
    )


def view_attempts(desk: Desk, opened: OpenedRecording) -> tuple[AttemptRow, ...]:
    """The chain, first attempt first."""
    return tuple(_view_attempt(desk, each, opened.summary.id) for each in opened.attempts)


def _view_attempt(desk: Desk, attempt: AttemptSummary, shown_id: int) -> AttemptRow:
    return AttemptRow(
        number=attempt.number,
        address=f"/recordings/{attempt.recording_id}",
        is_this=attempt.recording_id == shown_id,
        shape=VERDICT_SHAPES[attempt.verdict],
        verdict=say(attempt.verdict.value),
        time=format_clock(attempt.start or attempt.received_at, desk.zone),
        arrived=format_clock(attempt.received_at, desk.zone),
        filed=translate(FILED_BY_WORDS[attempt.filed_by]),
        decision=view_decision(desk, attempt.decision) if attempt.decision else None,
    )
