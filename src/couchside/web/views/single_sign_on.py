"""To the provider, and back from there."""

from __future__ import annotations

import logging
from typing import Annotated, cast

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from couchside.errors import CouchsideError, NotAllowed, NotFound
from couchside.exchange.single_sign_on import (
    Provider,
    Question,
    check_answer,
    make_question,
    make_question_url,
)
from couchside.service import Desk
from couchside.service.signing_in import sign_out
from couchside.service.signing_in_elsewhere import PersonElsewhere, connect, sign_in_elsewhere
from couchside.web.admission import EntranceHere, MaybeVisitor, OwnDesk, Visitor, sit_down
from couchside.web.entrance import Entrance
from couchside.web.failures import answer_error
from couchside.web.sealed import Seal
from couchside.web.views.sign_in import keep_inside, let_in

router = APIRouter(prefix="/single-sign-on", include_in_schema=False)

_log = logging.getLogger("couchside.web")


def get_provider(request: Request) -> Provider:
    """Who signs people on here; raises NotFound where nobody does."""
    provider = cast("Provider | None", request.app.state.provider)
    if provider is None:
        raise NotFound("there is no single sign-on here; sign in with a password")
    return provider


def get_seal(request: Request) -> Seal:
    """What seals questions."""
    return cast("Seal", request.app.state.seal)


ProviderHere = Annotated[Provider, Depends(get_provider)]
SealHere = Annotated[Seal, Depends(get_seal)]


@router.get("")
def show_way(
    *,
    request: Request,
    desk: OwnDesk,
    entrance: EntranceHere,
    provider: ProviderHere,
    seal: SealHere,
    visitor: MaybeVisitor,
    back: str = "",
) -> Response:
    """Send the browser to the provider.

    From a lock the provider must ask for the password: whoever stands there may be another.
    """
    is_locked = visitor is not None and not visitor.may_see_now
    question = make_question(
        redirect_uri=str(request.url_for("take_answer")),
        back=keep_inside(back),
        asked_at=desk.now(),
        is_fresh=provider.settings.asks_every_time or is_locked,
    )
    return _send(entrance, provider, seal, question)


@router.get("/connect")
def show_way_to_connect(
    *,
    request: Request,
    desk: OwnDesk,
    entrance: EntranceHere,
    provider: ProviderHere,
    seal: SealHere,
    visitor: MaybeVisitor,
) -> Response:
    """Send somebody who is signed in there, to come back as one who may sign in by either way."""
    question = make_question(
        redirect_uri=str(request.url_for("take_answer")),
        back="/account?saved=yes",
        asked_at=desk.now(),
        is_fresh=True,
        account_id=_get_awake(visitor),
    )
    return _send(entrance, provider, seal, question)


@router.get("/answer")
def take_answer(
    *,
    request: Request,
    desk: OwnDesk,
    entrance: EntranceHere,
    provider: ProviderHere,
    seal: SealHere,
    visitor: MaybeVisitor,
) -> Response:
    """Sign in whom the provider names, or connect them; the question is used up either way."""
    try:
        question = _find_question(request, entrance, seal)
        person = _ask_who(request, desk, provider, question)
        answer = _let_in(desk, entrance, visitor, question, person)
    except CouchsideError as refused:
        _log.warning("single sign-on: %s", refused)
        answer = answer_error(request, refused)
    answer.delete_cookie(
        _name_cookie(entrance), path="/", secure=entrance.has_tls, httponly=True, samesite="lax"
    )
    return answer


@router.get("/end")
def show_end(provider: ProviderHere) -> Response:
    """To where one signs out at the provider."""
    ends_at = provider.describe().ends_at
    if not ends_at:
        raise NotFound("the provider has no address for signing out; close the browser")
    return RedirectResponse(ends_at, status_code=303)


def _ask_who(
    request: Request, desk: Desk, provider: Provider, question: Question
) -> PersonElsewhere:
    code = check_answer(
        dict(request.query_params),
        question,
        issuer=provider.settings.issuer,
        names_issuer=provider.describe().names_issuer,
        now=desk.now(),
    )
    return provider.turn_in(code, question)


def _let_in(
    desk: Desk,
    entrance: Entrance,
    visitor: Visitor | None,
    question: Question,
    person: PersonElsewhere,
) -> Response:
    if question.account_id is None:
        token = sign_in_elsewhere(desk, person)
        if visitor is not None and visitor.token:
            sign_out(sit_down(desk, visitor), visitor.token)
        return let_in(entrance, token, question.back)
    if _get_awake(visitor) != question.account_id:
        raise NotAllowed("somebody else is signed in here by now; begin again")
    connect(sit_down(desk, visitor), question.account_id, person)
    return RedirectResponse(question.back, status_code=303)


def _get_awake(visitor: Visitor | None) -> int:
    """The account of whoever is signed in and there; raises NotAllowed."""
    if visitor is None or visitor.account is None or not visitor.may_see_now:
        raise NotAllowed("sign in with your password first; then the two can be connected")
    return visitor.account.id


def _send(entrance: Entrance, provider: Provider, seal: Seal, question: Question) -> Response:
    address = make_question_url(provider.describe().asks_at, provider.settings, question)
    answer = RedirectResponse(address, status_code=303)
    answer.set_cookie(
        _name_cookie(entrance),
        seal.close(question),
        max_age=600,
        path="/",
        secure=entrance.has_tls,
        httponly=True,
        samesite="lax",
    )
    return answer


def _find_question(request: Request, entrance: Entrance, seal: Seal) -> Question:
    question = seal.open(request.cookies.get(_name_cookie(entrance), ""))
    if question is None:
        raise NotAllowed(
            "this browser has asked nothing, or its question is used up; sign in from the beginning"
        )
    return question


def _name_cookie(entrance: Entrance) -> str:
    return f"{entrance.cookie}-question"
