"""Files handed in by a person, and arrivals that could not be read."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.responses import RedirectResponse

from couchside.errors import InvalidInput
from couchside.formats import ArrivedFile, group_into_parcels
from couchside.service import Source, receive, set_problem_aside
from couchside.web.contexts.arrival_view import view_received
from couchside.web.lookup import DeskHere, RowId
from couchside.web.rendering import render

router = APIRouter(include_in_schema=False)


@router.get("/upload")
def show_upload(request: Request) -> Response:
    """The form for handing in files."""
    return render(request, "upload.html")


@router.post("/upload")
def take_files(
    request: Request,
    desk: DeskHere,
    files: Annotated[list[UploadFile], File(default_factory=list)],
) -> Response:
    """Take files in; one recording is shown at once, of several what became of each."""
    arrived = [_take(upload) for upload in files if upload.filename]
    if not arrived:
        raise InvalidInput("no file was chosen; choose one or more and send them again")
    received = [
        receive(desk, parcel, source=Source.UPLOAD) for parcel in group_into_parcels(arrived)
    ]
    if len(received) == 1 and received[0].recording is not None:
        return RedirectResponse(f"/recordings/{received[0].recording.id}", status_code=303)
    return render(request, "received.html", arrivals=[view_received(each) for each in received])


@router.post("/problems/{problem_id}/set-aside")
def set_aside(desk: DeskHere, problem_id: RowId) -> Response:
    """A person has seen to an arrival that could not be read."""
    set_problem_aside(desk, problem_id)
    return RedirectResponse("/round", status_code=303)


def _take(upload: UploadFile) -> ArrivedFile:
    name = PurePath((upload.filename or "").replace("\\", "/")).name
    return ArrivedFile(name=name, content=upload.file.read())
