"""Recordings for the printer, one or many in one file."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from couchside.errors import NotFound
from couchside.service.printing import print_recordings
from couchside.service.trail import Subject
from couchside.web.contexts.print_view import view_print
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import LARGEST_ID, DeskHere, NoteLookHere, SettingsHere, parse_day
from couchside.web.rendering import render

router = APIRouter(include_in_schema=False)


@router.get("/print")
def choose_recordings(
    request: Request,
    desk: DeskHere,
    note_look: NoteLookHere,
    settings: SettingsHere,
    day: str = "",
) -> Response:
    """A round's recordings, to be chosen from."""
    wanted = parse_day(day) or desk.today()
    note_look(desk, Subject.ROUND, wanted.isoformat())
    return render(request, "print.html", print=view_print(desk, wanted, settings))


@router.get("/print.pdf")
def get_pages(
    desk: DeskHere, recordings: Annotated[list[int], Query(default_factory=list)]
) -> Response:
    """One PDF with the department's pages of each recording."""
    for each in recordings:
        if not 0 < each <= LARGEST_ID:
            raise NotFound(f"there is no recording {each}; choose one from the round")
    printed = print_recordings(desk, recordings)
    return Response(
        printed.content,
        media_type=printed.media_type,
        headers={
            "content-disposition": f'inline; filename="{printed.file_name}"',
            "content-security-policy": DRAWING_POLICY,
        },
    )
