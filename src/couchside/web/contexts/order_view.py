"""A person whose recording is awaited, or who could not be recorded."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk, RoundEntry
from couchside.web.contexts.attempt_view import DecisionView, view_decision
from couchside.web.contexts.decision_form import NOT_RECORDED_REASONS
from couchside.web.contexts.file_facts import NOT_STATED, Fact
from couchside.web.wording import (
    URGENCY_WORDS,
    describe_patient,
    format_clock,
    format_date,
    name_of,
    sentence_case,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderView:
    """One order; `latest_address` leads to its newest recording, empty where there is none."""

    id: int
    name: str
    facts: tuple[str, ...]
    state: str
    details: tuple[Fact, ...]
    decision: DecisionView | None
    seen_number: int
    reasons: tuple[str, ...]
    latest_address: str


def view_order(desk: Desk, entry: RoundEntry) -> OrderView:
    """One order as its page shows it."""
    order = entry.order
    return OrderView(
        id=order.id,
        name=name_of(order.patient),
        facts=describe_patient(order.patient),
        state=sentence_case(entry.state.value),
        details=(
            Fact(name="Place", value=order.place or NOT_STATED),
            Fact(name="Day", value=format_date(order.day)),
            Fact(name="Due", value=format_clock(order.due_at, desk.zone) or NOT_STATED),
            Fact(name="Urgency", value=URGENCY_WORDS[order.urgency]),
            Fact(name="Asked for because", value=order.reason or NOT_STATED),
            Fact(name="Accession number", value=order.accession or NOT_STATED),
        ),
        decision=view_decision(desk, entry.decision) if entry.decision else None,
        seen_number=entry.not_recorded_number,
        reasons=NOT_RECORDED_REASONS,
        latest_address=f"/recordings/{entry.latest.recording_id}" if entry.latest else "",
    )
