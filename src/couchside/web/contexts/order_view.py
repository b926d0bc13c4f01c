"""A person whose recording is awaited, or who could not be recorded."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk, Identifier, IdentityCheck, RoundEntry
from couchside.web.contexts.amendment_view import AmendmentView, view_amendments
from couchside.web.contexts.attempt_view import DecisionView, view_decision
from couchside.web.contexts.file_facts import NOT_STATED, Fact
from couchside.web.contexts.guide import GuideView
from couchside.web.contexts.knowing_view import KnowingView
from couchside.web.contexts.order_form import OrderForm, make_order_form
from couchside.web.contexts.patient_view import make_patient_address
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import (
    URGENCY_WORDS,
    describe_patient,
    format_clock,
    format_date,
    format_moment,
    name_of,
    say,
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
    form: OrderForm
    latest_address: str
    patient_address: str
    amendments: tuple[AmendmentView, ...]
    checks: tuple[str, ...]
    identifiers: tuple[tuple[str, str], ...]
    guide: GuideView
    known: KnowingView


def view_order(
    desk: Desk,
    entry: RoundEntry,
    *,
    guide: GuideView,
    known: KnowingView,
    checks: tuple[IdentityCheck, ...],
) -> OrderView:
    """One order as its page shows it."""
    order = entry.order
    return OrderView(
        id=order.id,
        name=name_of(order.patient),
        facts=describe_patient(order.patient),
        state=say(entry.state.value),
        details=(
            Fact(name=_("Place"), value=order.place or translate(NOT_STATED)),
            Fact(name=_("Day"), value=format_date(order.day)),
            Fact(
                name=_("Due"), value=format_clock(order.due_at, desk.zone) or translate(NOT_STATED)
            ),
            Fact(name=_("Urgency"), value=translate(URGENCY_WORDS[order.urgency])),
            Fact(name=_("Asked for because"), value=order.reason or translate(NOT_STATED)),
            Fact(name=_("Accession number"), value=order.accession or translate(NOT_STATED)),
        ),
        decision=view_decision(desk, entry.decision) if entry.decision else None,
        form=make_order_form(order.id, entry.state, entry.on_order),
        latest_address=f"/recordings/{entry.latest.recording_id}" if entry.latest else "",
        patient_address=make_patient_address(order.patient),
        amendments=view_amendments(desk, order.amendments),
        checks=tuple(_describe_check(desk, each) for each in checks),
        identifiers=tuple((str(each), say(each)) for each in Identifier),
        guide=guide,
        known=known,
    )


def _describe_check(desk: Desk, check: IdentityCheck) -> str:
    said = ", ".join(translate(each.value) for each in check.identifiers)
    return f"{said} · {check.who}, {format_moment(check.checked_at, desk.zone)}"
