"""What the local protocol wants told: who was told, when, and whether it was read back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import close_telling, open_telling
from couchside.service.trail import Subject
from couchside.web.contexts.telling_view import TellingView, list_open_tellings, view_telling
from couchside.web.lookup import DeskHere, NoteLookHere, RowId
from couchside.web.rendering import render
from couchside.web.views.typed_fields import TellingFields

router = APIRouter(prefix="/tell-now", include_in_schema=False)


def get_open_tellings(desk: DeskHere, note_look: NoteLookHere) -> tuple[TellingView, ...]:
    """What is still to be told, each a look at its recording."""
    tellings = list_open_tellings(desk)
    for each in tellings:
        note_look(desk, Subject.RECORDING, each.recording_id)
    return tellings


OpenTellingsHere = Annotated[tuple[TellingView, ...], Depends(get_open_tellings)]


@router.get("")
def show_all(request: Request, tellings: OpenTellingsHere) -> Response:
    """Everything that is still to be told."""
    return render(request, "tellings.html", tellings=tellings)


@router.get("/open")
def show_open(request: Request, tellings: OpenTellingsHere) -> Response:
    """The strip on top of every page, renewed."""
    return render(request, "to_tell.html", tellings=tellings)


@router.get("/{item_id}")
def show_one(request: Request, desk: DeskHere, note_look: NoteLookHere, item_id: RowId) -> Response:
    """One value, and the form that closes it."""
    entry = open_telling(desk, item_id)
    note_look(desk, Subject.RECORDING, entry.recording_id)
    now = f"{desk.now().astimezone(desk.zone):%H:%M}"
    return render(request, "telling.html", telling=view_telling(desk, entry), now=now)


@router.post("/{item_id}")
def close(desk: DeskHere, item_id: RowId, form: Annotated[TellingFields, Form()]) -> Response:
    """Keep who was told."""
    entry = close_telling(desk, item_id, form.to_telling(desk))
    return RedirectResponse(f"/recordings/{entry.recording_id}", status_code=303)
