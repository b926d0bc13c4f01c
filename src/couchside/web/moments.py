"""The moment as of which a request is answered, read once before anything else."""

from __future__ import annotations

from typing import cast

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from couchside.service import Desk
from couchside.service.moments import Moment, read_moment

_NO_PAGES = ("/static/", "/api/health")
"""Answered without the database."""


class Moments:
    """Reads the moment, then lets the request through."""

    def __init__(self, app: ASGIApp, *, desk: Desk) -> None:
        self.app = app
        self.desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Put the moment where `get_moment` finds it."""
        if scope["type"] == "http" and not scope["path"].startswith(_NO_PAGES):
            moment = await run_in_threadpool(read_moment, self.desk)
            scope.setdefault("state", {})["moment"] = moment
        await self.app(scope, receive, send)


def get_moment(request: Request) -> Moment:
    """The moment as of which a request is answered."""
    return cast("Moment", request.state.moment)


def find_mark(request: Request) -> int:
    """The mark of that moment; 0, before every mark, for what was refused before it was read."""
    moment = cast("Moment | None", getattr(request.state, "moment", None))
    return moment.mark if moment is not None else 0
