"""One recorder: what is known of it, its checks and its fault log."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service.checklists import choose_checklist
from couchside.service.faults import add_fault_entry, open_fault
from couchside.service.readiness import open_history
from couchside.service.readiness_checks import write_check
from couchside.store.words import PartOfDay
from couchside.web.contexts.check_form import view_check_form
from couchside.web.contexts.recorder_view import view_recorder
from couchside.web.lookup import DeskHere, RowId
from couchside.web.rendering import render
from couchside.web.views.recorder_fields import (
    CheckFields,
    FaultEntryFields,
    FaultFields,
    TypedHere,
)

router = APIRouter(include_in_schema=False)


@router.get("/recorders/{recorder_id}")
def show_recorder(request: Request, desk: DeskHere, recorder_id: RowId) -> Response:
    """A recorder as of now, and what was kept of it."""
    history = open_history(desk, recorder_id)
    return render(request, "recorder.html", recorder=view_recorder(desk, history))


@router.get("/recorders/{recorder_id}/check")
def show_check(
    request: Request,
    desk: DeskHere,
    recorder_id: RowId,
    part: Literal["start", "end"] = "start",
) -> Response:
    """The checklist, to be answered."""
    history = open_history(desk, recorder_id)
    checklist = choose_checklist(desk.data_folder)
    chosen = PartOfDay.START if part == "start" else PartOfDay.END
    form = view_check_form(desk, history.readiness, checklist, chosen)
    return render(request, "recorder_check.html", check=form)


@router.post("/recorders/{recorder_id}/check")
def take_check(
    desk: DeskHere, recorder_id: RowId, typed: TypedHere, form: Annotated[CheckFields, Form()]
) -> Response:
    """Keep what was found."""
    write_check(desk, recorder_id, form.to_check(typed))
    return RedirectResponse(f"/recorders/{recorder_id}", status_code=303)


@router.post("/recorders/{recorder_id}/faults")
def take_fault(
    desk: DeskHere, recorder_id: RowId, form: Annotated[FaultFields, Form()]
) -> Response:
    """Log that something is wrong."""
    fault = open_fault(desk, recorder_id, form.to_fault())
    return RedirectResponse(f"/recorders/{fault.recorder_id}#faults", status_code=303)


@router.post("/faults/{fault_id}")
def take_fault_entry(
    desk: DeskHere, fault_id: RowId, form: Annotated[FaultEntryFields, Form()]
) -> Response:
    """Log what was done about it, and that it is closed."""
    fault = add_fault_entry(desk, fault_id, form.to_entry())
    return RedirectResponse(f"/recorders/{fault.recorder_id}#faults", status_code=303)
