"""One's own sign-in: lock, way back, end, password and PIN."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.errors import InvalidInput, NotAllowed
from couchside.service.passwords import LONGEST_PASSWORD, SHORTEST_PASSWORD
from couchside.service.signing_in import (
    SignedIn,
    change_password,
    change_pin,
    lock,
    note_awake,
    sign_out,
    unlock,
)
from couchside.web.admission import (
    EntranceHere,
    MaybeVisitor,
    NotSignedIn,
    Visitor,
    VisitorHere,
)
from couchside.web.lookup import DeskHere
from couchside.web.rendering import render
from couchside.web.views.sign_in import check_twice, keep_inside, say

router = APIRouter(include_in_schema=False)

Secret = Annotated[str, Form(max_length=LONGEST_PASSWORD)]
Typed = Annotated[str, Form(max_length=2000)]


@router.post("/sign-out")
def take_sign_out(desk: DeskHere, entrance: EntranceHere, visitor: MaybeVisitor) -> Response:
    """End the sign-in, locked or not."""
    if visitor is not None and visitor.token:
        sign_out(desk, visitor.token)
    answer = RedirectResponse("/sign-in?left=yes", status_code=303)
    answer.delete_cookie(entrance.cookie, path="/", secure=entrance.has_tls, httponly=True)
    return answer


@router.post("/lock")
def take_lock(desk: DeskHere, visitor: MaybeVisitor, back: Typed = "") -> Response:
    """Hide everything until the person is back."""
    lock(desk, _get_signed_in(visitor).token)
    return RedirectResponse(f"/locked?{urlencode({'back': keep_inside(back)})}", status_code=303)


@router.get("/locked")
def show_locked(request: Request, visitor: MaybeVisitor, back: str = "") -> Response:
    """Asks the person who is signed in for PIN or password."""
    sign_in = _get_signed_in(visitor).signed_in
    if sign_in is None or not sign_in.is_locked:
        return RedirectResponse(keep_inside(back), status_code=303)
    return render(request, "locked.html", back=keep_inside(back), refusal="")


@router.post("/locked")
def take_unlock(
    request: Request, desk: DeskHere, visitor: MaybeVisitor, secret: Secret = "", back: Typed = ""
) -> Response:
    """Back to where one was; the page's own script is answered without a page."""
    is_script = request.headers.get("accept") == "application/json"
    try:
        unlock(desk, _get_signed_in(visitor).token, secret)
    except NotAllowed as refused:
        if is_script:
            return Response(say(refused), status_code=403, media_type="text/plain")
        return render(
            request, "locked.html", status=403, back=keep_inside(back), refusal=say(refused)
        )
    if is_script:
        return Response(status_code=204)
    return RedirectResponse(keep_inside(back), status_code=303)


@router.post("/awake")
def take_awake(desk: DeskHere, visitor: VisitorHere) -> Response:
    """Somebody has a hand on the page."""
    if visitor.signed_in is not None:
        note_awake(desk, visitor.token, visitor.signed_in)
    return Response(status_code=204)


@router.get("/account")
def show_account(request: Request, visitor: VisitorHere, saved: str = "") -> Response:
    """One's own name, role, password and PIN."""
    return render(
        request,
        "account.html",
        account=visitor.account,
        was_saved=saved == "yes",
        shortest=SHORTEST_PASSWORD,
    )


@router.post("/account/password")
def take_password(
    desk: DeskHere,
    visitor: VisitorHere,
    old: Secret = "",
    password: Secret = "",
    again: Secret = "",
) -> Response:
    """Put a new password in place of the old one."""
    check_twice(password, again)
    change_password(desk, _get_own(visitor), old=old, new=password)
    return RedirectResponse("/account?saved=yes", status_code=303)


@router.post("/account/pin")
def take_pin(desk: DeskHere, visitor: VisitorHere, old: Secret = "", pin: Secret = "") -> Response:
    """Set or take away the PIN."""
    change_pin(desk, _get_own(visitor), password=old, pin=pin)
    return RedirectResponse("/account?saved=yes", status_code=303)


def _get_signed_in(visitor: Visitor | None) -> Visitor:
    if visitor is None or visitor.signed_in is None:
        raise NotSignedIn("nobody is signed in here; sign in first")
    return visitor


def _get_own(visitor: Visitor) -> SignedIn:
    if visitor.signed_in is None:
        raise InvalidInput("nobody has signed in here, so there is no password to change")
    return visitor.signed_in
