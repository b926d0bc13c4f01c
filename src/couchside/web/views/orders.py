"""A person of the round: added by hand, seen before a recording is there, not recorded, or gone."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import (
    Identifier,
    add_order,
    check_identity,
    decide_on_order,
    find_what_to_know,
    list_checks,
    write_patient_notes,
)
from couchside.web.contexts.guide import choose_guided, find_placement, view_guide
from couchside.web.contexts.knowing_view import view_knowing
from couchside.web.contexts.order_view import view_order
from couchside.web.lookup import DeskHere, EntryHere, SettingsHere
from couchside.web.rendering import render
from couchside.web.views.typed_fields import OrderDecisionFields, OrderFields, PatientNotesFields
from couchside.web.wording import SEX_WORDS, URGENCY_WORDS, list_words

router = APIRouter()


@router.get("/orders/new", include_in_schema=False)
def show_new_order(request: Request) -> Response:
    """The form for a person who is on no list."""
    return render(
        request, "order_new.html", sexes=list_words(SEX_WORDS), urgencies=list_words(URGENCY_WORDS)
    )


@router.post("/orders", include_in_schema=False)
def put_on_round(desk: DeskHere, form: Annotated[OrderFields, Form()]) -> Response:
    """Put a person on the round."""
    order = add_order(desk, form.to_order(desk))
    return RedirectResponse(f"/round#order-{order.id}", status_code=303)


@router.get("/orders/{order_id}", include_in_schema=False)
def show_order(
    request: Request, desk: DeskHere, entry: EntryHere, settings: SettingsHere, placement: str = ""
) -> Response:
    """A person whose recording is awaited, what to know of them, where the electrodes go."""
    code = settings.colour_code
    known = find_what_to_know(desk, entry.order.id)
    wanted = find_placement(placement) if placement else choose_guided(known.placement)
    order = view_order(
        desk,
        entry,
        guide=view_guide(wanted, code),
        known=view_knowing(desk, entry.order.id, known, code),
        checks=list_checks(desk, entry.order.id),
    )
    return render(request, "order.html", order=order)


@router.post("/orders/{order_id}/decision", include_in_schema=False)
def decide_without_recording(
    desk: DeskHere, entry: EntryHere, form: Annotated[OrderDecisionFields, Form()]
) -> Response:
    """Say that no recording could be made, that the person is gone, or is expected again."""
    decide_on_order(desk, form.to_wish(entry.order.id))
    return RedirectResponse("/round", status_code=303)


@router.post("/orders/{order_id}/identity", include_in_schema=False)
def keep_identity_check(
    desk: DeskHere,
    entry: EntryHere,
    identifiers: Annotated[list[Identifier], Form(default_factory=list)],
) -> Response:
    """Keep that the person was asked who they are."""
    check_identity(desk, entry.order.id, identifiers)
    return RedirectResponse(f"/orders/{entry.order.id}", status_code=303)


@router.post("/orders/{order_id}/notes", include_in_schema=False)
def keep_notes(
    desk: DeskHere, entry: EntryHere, form: Annotated[PatientNotesFields, Form()]
) -> Response:
    """Keep what the next one to record this person should know."""
    write_patient_notes(desk, entry.order.id, form.to_notes(), seen_number=form.seen_number)
    return RedirectResponse(f"/orders/{entry.order.id}#knowing", status_code=303)
