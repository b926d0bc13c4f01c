"""The end of a round: what has no answer yet, and closing it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import close_round
from couchside.service.trail import Subject
from couchside.web.contexts.round_end_view import view_round_end
from couchside.web.lookup import DeskHere, NoteLookHere, parse_day
from couchside.web.rendering import render

router = APIRouter(include_in_schema=False)


@router.get("/round/end")
def show_end(request: Request, desk: DeskHere, note_look: NoteLookHere, day: str = "") -> Response:
    """Everything of the day that is still open."""
    wanted = parse_day(day) or desk.today()
    end = view_round_end(desk, wanted)
    note_look(desk, Subject.ROUND, wanted.isoformat())
    return render(request, "round_end.html", end=end)


@router.post("/round/end")
def close(
    desk: DeskHere,
    keys: Annotated[list[str], Form(default_factory=list)],
    reasons: Annotated[list[str], Form(default_factory=list)],
    day: Annotated[str, Form()] = "",
) -> Response:
    """Keep who closed the round, and why the rest stays open."""
    closed = parse_day(day) or desk.today()
    close_round(desk, closed, dict(zip(keys, reasons, strict=False)))
    return RedirectResponse(f"/round/end?day={closed.isoformat()}", status_code=303)
