"""A recording: seen, decided on, filed under an order."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.errors import InvalidInput
from couchside.quality.model import Verdict
from couchside.service import (
    DecisionKind,
    Desk,
    OpenedRecording,
    RoundEntry,
    decide,
    list_round,
    match,
    move,
    write_circumstances,
)
from couchside.service.pulses import say_pulse
from couchside.service.recorders import list_all_recorders
from couchside.web.contexts.attempt_view import view_attempts
from couchside.web.contexts.calibration_view import view_calibration
from couchside.web.contexts.recording_view import view_recording
from couchside.web.contexts.round_view import list_open
from couchside.web.lookup import DeskHere, RecordingHere, RowId, SettingsHere
from couchside.web.rendering import render
from couchside.web.views.typed_fields import CircumstancesFields, DecisionFields, PulseFields

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)

_STAYS_OPEN = DecisionKind.RECORD_AGAIN
"""After this decision the page stays, with the remedy in sight, until the next attempt is there."""


@router.get("")
def show_recording(
    request: Request, desk: DeskHere, opened: RecordingHere, settings: SettingsHere
) -> Response:
    """Verdict, evidence, decision; a recorder's own pulse has a page of its own."""
    if opened.is_pulse:
        return RedirectResponse(f"/recordings/{opened.summary.id}/calibration", status_code=303)
    view = view_recording(desk, opened, settings, _list_orders(desk, opened))
    return render(request, "recording.html", recording=view)


@router.get("/calibration")
def show_calibration(request: Request, desk: DeskHere, opened: RecordingHere) -> Response:
    """Whether the recording holds the recorder's own pulse, and whether that is right."""
    view = view_calibration(desk, opened, list_all_recorders(desk))
    return render(request, "calibration.html", calibration=view)


@router.post("/pulse")
def say_whether_pulse(
    desk: DeskHere, opened: RecordingHere, form: Annotated[PulseFields, Form()]
) -> Response:
    """Say that the recording is of a recorder's own pulse, or that it is a person's."""
    pulse = say_pulse(desk, opened.summary.id, form.to_saying())
    onward = "/calibration" if pulse.is_pulse else ""
    return RedirectResponse(f"/recordings/{opened.summary.id}{onward}", status_code=303)


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
    _check_advice_seen(form.advised, opened.assessment.verdict)
    decide(desk, form.to_wish(opened.summary.id))
    stays = form.kind is _STAYS_OPEN and opened.order is not None
    onward = f"/recordings/{opened.summary.id}" if stays else "/round"
    return RedirectResponse(onward, status_code=303)


@router.post("/circumstances")
def write_how_it_was_taken(
    desk: DeskHere, opened: RecordingHere, form: Annotated[CircumstancesFields, Form()]
) -> Response:
    """Write placement, position, symptoms and whatever else a reader should know."""
    write_circumstances(
        desk, opened.summary.id, form.to_circumstances(), seen_number=form.seen_number
    )
    return RedirectResponse(f"/recordings/{opened.summary.id}#circumstances", status_code=303)


@router.post("/match")
def file_under_order(
    desk: DeskHere, opened: RecordingHere, order_id: Annotated[RowId, Form()]
) -> Response:
    """File a recording that found no order by itself."""
    match(desk, recording_id=opened.summary.id, order_id=order_id)
    return RedirectResponse(f"/recordings/{opened.summary.id}", status_code=303)


@router.post("/move")
def file_elsewhere(
    desk: DeskHere,
    opened: RecordingHere,
    from_order_id: Annotated[RowId, Form()],
    order_id: Annotated[RowId, Form()],
    reason: Annotated[str, Form()] = "",
) -> Response:
    """File a recording that lies under the wrong order under the right one."""
    move(
        desk,
        recording_id=opened.summary.id,
        from_order_id=from_order_id,
        order_id=order_id,
        reason=reason,
    )
    return RedirectResponse(f"/recordings/{opened.summary.id}", status_code=303)


def _list_orders(desk: Desk, opened: OpenedRecording) -> tuple[RoundEntry, ...]:
    """Under which the recording may be filed: those that wait, and to move it, all others too."""
    if opened.order is None:
        return list_open(list_round(desk))
    days = {desk.today(), opened.order.day}
    entries = (entry for day in sorted(days) for entry in list_round(desk, day).entries)
    return tuple(entry for entry in entries if entry.order.id != opened.order.id)


def _check_advice_seen(seen: Verdict | None, advised: Verdict) -> None:
    if seen is None:
        raise InvalidInput(
            "the decision does not say which advice was on the page; decide on the recording's page"
        )
    if seen is not advised:
        raise InvalidInput(f"the advice is {advised.value} by now; look again and decide")
