"""The pages and the API on one desk."""

from __future__ import annotations

from fastapi import FastAPI

from couchside.service import Desk
from couchside.version import __version__
from couchside.web.changes import Changes
from couchside.web.failures import add_failure_pages
from couchside.web.guard import MAX_BODY_BYTES, Guard
from couchside.web.headlines import Headlines
from couchside.web.rendering import STATIC_FOLDER, get_static_version
from couchside.web.static_files import KeptStaticFiles
from couchside.web.translation import Languages
from couchside.web.views import (
    api,
    arrivals,
    changes,
    drawings,
    orders,
    recordings,
    round_end,
    round_page,
    standing,
    telling,
)

ROUTERS = tuple(
    part.router
    for part in (
        round_page,
        round_end,
        orders,
        arrivals,
        recordings,
        drawings,
        telling,
        changes,
        standing,
        api,
    )
)


def create_app(desk: Desk, *, max_body_bytes: int = MAX_BODY_BYTES) -> FastAPI:
    """Every page and the API; the desk stays the caller's to close."""
    app = FastAPI(
        title="Couchside",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.state.desk = desk
    app.state.headlines = Headlines()
    app.state.changes = Changes(desk)
    for router in ROUTERS:
        app.include_router(router)
    app.mount(f"/static/{get_static_version()}", KeptStaticFiles(directory=STATIC_FOLDER))
    add_failure_pages(app)
    app.add_middleware(Languages, desk=desk)
    app.add_middleware(Guard, max_body_bytes=max_body_bytes)
    return app
