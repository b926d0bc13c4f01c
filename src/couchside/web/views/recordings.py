"""A recording: seen, decided on, filed under an order."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import DecisionKind, decide, list_round, match
from couchside.web.contexts.attempt_view import view_attempts
from couchside.web.contexts.recording_view import view_recording
from couchside.web.contexts.round_view import list_open
from couchside.web.lookup import LARGEST_ID, DeskHere, RecordingHere, SettingsHere
from couchside.web.rendering import render
from couchside.web.views.typed_fields import DecisionFields

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)

_STAYS_OPEN = DecisionKind.RECORD_AGAIN
"""After this decision the page stays, with the remedy in sight, until the next attempt is there."""


@router.get("")
def show_recording(
    request: Request, desk: DeskHere, opened: RecordingHere, settings: SettingsHere
) -> Response:
    """Verdict, evidence, decision."""
    open_orders = () if opened.order else list_open(list_round(desk))
    view = view_recording(desk, opened, settings, open_orders)
    return render(request, "recording.html", recording=view)


@router.get("/newer")
def show_newer(
    request: Request, desk: DeskHere, opened: RecordingHere, seen: int = 0, shown: int = 0
) -> Response:
    """The attempts after the first `seen`, or nothing where the page shows them all already."""
    if len(opened.attempts) == shown:
        return Response(status_code=204)
    attempts = view_attempts(desk, opened)
    return render(
        request, "newer.html", recording_id=opened.summary.id, attempts=attempts, seen=max(seen, 0)
    )


@router.post("/decision")
def decide_on_recording(
    desk: DeskHere, opened: RecordingHere, form: Annotated[DecisionFields, Form()]
) -> Response:
    """Put a person's decision on the recording."""
    decide(desk, form.to_wish(opened.summary.id))
    stays = form.kind is _STAYS_OPEN and opened.order is not None
    onward = f"/recordings/{opened.summary.id}" if stays else "/round"
    return RedirectResponse(onward, status_code=303)


@router.post("/match")
def file_under_order(
    desk: DeskHere, opened: RecordingHere, order_id: Annotated[int, Form()]
) -> Response:
    """File a recording that found no order by itself."""
    match(desk, recording_id=opened.summary.id, order_id=min(order_id, LARGEST_ID))
    return RedirectResponse(f"/recordings/{opened.summary.id}", status_code=303)
