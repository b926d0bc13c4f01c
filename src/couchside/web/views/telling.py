"""What the local protocol wants told: who was told, when, and whether it was read back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import TellNowEntry, close_telling, open_telling
from couchside.web.contexts.telling_view import list_open_tellings, view_telling
from couchside.web.lookup import LARGEST_ID, DeskHere
from couchside.web.rendering import render
from couchside.web.views.typed_fields import TellingFields

router = APIRouter(prefix="/tell-now", include_in_schema=False)


@router.get("")
def show_all(request: Request, desk: DeskHere) -> Response:
    """Everything that is still to be told."""
    return render(request, "tellings.html", tellings=list_open_tellings(desk))


@router.get("/open")
def show_open(request: Request, desk: DeskHere) -> Response:
    """The strip on top of every page, renewed."""
    return render(request, "to_tell.html", tellings=list_open_tellings(desk))


@router.get("/{item_id}")
def show_one(request: Request, desk: DeskHere, item_id: int) -> Response:
    """One value, and the form that closes it."""
    entry = _open(desk, item_id)
    now = f"{desk.now().astimezone(desk.zone):%H:%M}"
    return render(request, "telling.html", telling=view_telling(desk, entry), now=now)


@router.post("/{item_id}")
def close(desk: DeskHere, item_id: int, form: Annotated[TellingFields, Form()]) -> Response:
    """Keep who was told."""
    entry = close_telling(desk, min(item_id, LARGEST_ID), form.to_telling(desk))
    return RedirectResponse(f"/recordings/{entry.recording_id}", status_code=303)


def _open(desk: DeskHere, item_id: int) -> TellNowEntry:
    return open_telling(desk, min(item_id, LARGEST_ID))
