"""The recorders of the department: which are fit, and the register."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service.accounts import Right
from couchside.service.readiness import list_readiness, list_unknown_pulses
from couchside.service.recorders import (
    RecorderFacts,
    change_recorder,
    list_all_recorders,
    register_recorder,
    retire_recorder,
    suggest_recorders,
)
from couchside.web.admission import require
from couchside.web.contexts.readiness_view import (
    describe_recorder,
    view_pulse,
    view_readiness,
    view_suggestion,
)
from couchside.web.lookup import DeskHere, RowId
from couchside.web.rendering import render
from couchside.web.views.recorder_fields import RecorderFields

router = APIRouter(include_in_schema=False)
chooses = require(Right.CHOOSE)


@router.get("/readiness")
def show_all(request: Request, desk: DeskHere) -> Response:
    """Every recorder as of now, and what files name that is not registered."""
    retired = [each for each in list_all_recorders(desk) if each.retired_at is not None]
    return render(
        request,
        "readiness.html",
        blank=RecorderFacts(name=""),
        rows=tuple(view_readiness(desk, each) for each in list_readiness(desk)),
        pulses=tuple(view_pulse(desk, each) for each in list_unknown_pulses(desk)),
        suggestions=tuple(view_suggestion(each) for each in suggest_recorders(desk)),
        retired=tuple((each.id, each.facts.name, describe_recorder(each)) for each in retired),
    )


@router.post("/readiness", dependencies=[chooses])
def register(desk: DeskHere, form: Annotated[RecorderFields, Form()]) -> Response:
    """Put a recorder into the register."""
    recorder = register_recorder(desk, form.to_facts())
    return RedirectResponse(f"/recorders/{recorder.id}", status_code=303)


@router.post("/recorders/{recorder_id}", dependencies=[chooses])
def change(
    desk: DeskHere,
    recorder_id: RowId,
    seen_number: Annotated[int, Form()],
    form: Annotated[RecorderFields, Form()],
) -> Response:
    """Say something else of a recorder."""
    change_recorder(desk, recorder_id, form.to_facts(), seen_number=seen_number)
    return RedirectResponse(f"/recorders/{recorder_id}", status_code=303)


@router.post("/recorders/{recorder_id}/retire", dependencies=[chooses])
def retire(
    desk: DeskHere,
    recorder_id: RowId,
    seen_number: Annotated[int, Form()],
    because: Annotated[str, Form()] = "",
) -> Response:
    """Take a recorder out of the register; what was kept of it stays."""
    retire_recorder(desk, recorder_id, because=because, seen_number=seen_number)
    return RedirectResponse("/readiness", status_code=303)
