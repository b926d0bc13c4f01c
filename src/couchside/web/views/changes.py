"""The stream that tells open pages that something has changed."""

from __future__ import annotations

from typing import cast

from fastapi import APIRouter, Request, Response
from fastapi.responses import StreamingResponse

from couchside.web.changes import Changes

router = APIRouter(include_in_schema=False)


@router.get("/changes")
async def stream_changes(request: Request) -> Response:
    """Server-sent events, one for each change; 204 where too many listen, who then ask instead."""
    changes = cast("Changes", request.app.state.changes)
    if not changes.has_room():
        return Response(status_code=204)
    return StreamingResponse(changes.listen(), media_type="text/event-stream")
