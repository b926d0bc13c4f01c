"""The pages and the API on one desk."""

from __future__ import annotations

from fastapi import Depends, FastAPI

from couchside.exchange.single_sign_on import Provider, SignOnSettings
from couchside.service import Desk
from couchside.service.viewing import Looks
from couchside.version import __version__
from couchside.web.admission import Accounts, admit, check_form
from couchside.web.changes import Changes
from couchside.web.entrance import THIS_MACHINE, Entrance
from couchside.web.failures import add_failure_pages
from couchside.web.guard import MAX_BODY_BYTES, Guard
from couchside.web.moments import Moments
from couchside.web.rendering import STATIC_FOLDER, get_static_version
from couchside.web.sealed import Seal
from couchside.web.static_files import KeptStaticFiles
from couchside.web.translation import Languages
from couchside.web.views import (
    api,
    arrivals,
    changes,
    drawings,
    guide,
    orders,
    own_account,
    patients,
    people,
    printing,
    readiness,
    recorders,
    recordings,
    round_end,
    round_page,
    sign_in,
    single_sign_on,
    standing,
    strips,
    taking_along,
    telling,
)

GUARDED = tuple(
    part.router
    for part in (
        round_page,
        round_end,
        orders,
        guide,
        arrivals,
        recordings,
        patients,
        drawings,
        printing,
        strips,
        taking_along,
        telling,
        changes,
        standing,
        people,
        readiness,
        recorders,
        api,
    )
)
"""Behind `admit`: whoever asks must be signed in and have the right."""

OWN = (own_account.router,)
"""For whoever is signed in, locked or not; each page looks by itself."""

PUBLIC = (sign_in.router, single_sign_on.router, api.public)
ROUTERS = GUARDED + OWN + PUBLIC


def create_app(
    desk: Desk,
    *,
    entrance: Entrance = THIS_MACHINE,
    sign_on: SignOnSettings | None = None,
    max_body_bytes: int = MAX_BODY_BYTES,
) -> FastAPI:
    """Every page and the API; the desk stays the caller's to close.

    `sign_on` says who signs people on beside Couchside itself.
    """
    app = FastAPI(
        title="Couchside",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.state.desk = desk
    app.state.entrance = entrance
    app.state.provider = Provider(sign_on, now=desk.now) if sign_on is not None else None
    app.state.seal = Seal()
    app.state.changes = Changes(desk)
    app.state.looks = Looks()
    app.state.accounts = Accounts()
    for router in GUARDED:
        app.include_router(router, dependencies=[Depends(admit), Depends(check_form)])
    for router in OWN:
        app.include_router(router, dependencies=[Depends(check_form)])
    for router in PUBLIC:
        app.include_router(router)
    app.mount(f"/static/{get_static_version()}", KeptStaticFiles(directory=STATIC_FOLDER))
    add_failure_pages(app)
    app.add_middleware(Languages)
    app.add_middleware(Moments, desk=desk)
    app.add_middleware(Guard, entrance=entrance, max_body_bytes=max_body_bytes)
    return app
