"""A recording as a file to take along."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import APIRouter, Response

from couchside.service.taking_along import FileKind, take_along
from couchside.web.lookup import DeskHere, RecordingHere

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)


@router.get("/file/{kind}")
def get_file(desk: DeskHere, opened: RecordingHere, kind: FileKind) -> Response:
    """The bytes as they came, or the recording written in an open format."""
    taken = take_along(desk, opened.summary.id, kind)
    return Response(
        taken.content,
        media_type=taken.media_type,
        headers={"content-disposition": f"attachment; filename*=UTF-8''{quote(taken.file_name)}"},
    )
