"""Signing in: by name and password, by a one-time link, and in the demo by choice."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, Field

from couchside.errors import CouchsideError, InvalidInput, NotAllowed
from couchside.service.accounts import Account, list_people
from couchside.service.inviting import accept, accept_first, open_invitation
from couchside.service.passwords import LONGEST_PASSWORD, SHORTEST_PASSWORD
from couchside.service.playing import play
from couchside.service.signing_in import TooManyTries, sign_in
from couchside.web.admission import EntranceHere, OwnDesk
from couchside.web.entrance import Entrance
from couchside.web.lookup import RowId
from couchside.web.rendering import render
from couchside.web.translation import translate
from couchside.web.wording import sentence_case

router = APIRouter(include_in_schema=False)

Secret = Annotated[str, Field(max_length=LONGEST_PASSWORD)]
Typed = Annotated[str, Field(max_length=200)]


class SignInFields(BaseModel):
    """What is typed to sign in."""

    sign_in_name: Typed = ""
    password: Secret = ""
    back: Typed = ""


class LinkFields(BaseModel):
    """What is typed behind a one-time link; the names only behind the first one."""

    name: Typed = ""
    sign_in_name: Typed = ""
    password: Secret = ""
    again: Secret = ""


@router.get("/sign-in")
def show_sign_in(
    request: Request, desk: OwnDesk, entrance: EntranceHere, back: str = "", left: str = ""
) -> Response:
    """Name and password, or single sign-on; in the demo, the people to choose from."""
    people = list_people(desk)
    return render(
        request,
        "sign_in.html",
        typed=SignInFields.model_construct(back=keep_inside(back)),
        refusal="",
        has_left=left == "yes",
        is_anybody_known=bool(people),
        people=people if entrance.is_demo else (),
    )


@router.post("/sign-in")
def take_sign_in(
    request: Request,
    desk: OwnDesk,
    entrance: EntranceHere,
    form: Annotated[SignInFields, Form()],
) -> Response:
    """Sign somebody in and lead them to where they wanted to go."""
    try:
        token = sign_in(desk, form.sign_in_name, form.password)
    except NotAllowed as refused:
        return render(
            request,
            "sign_in.html",
            status=429 if isinstance(refused, TooManyTries) else 403,
            typed=form.model_copy(update={"back": keep_inside(form.back)}),
            refusal=say(refused),
            has_left=False,
            is_anybody_known=True,
            people=(),
        )
    return let_in(entrance, token, form.back)


@router.post("/sign-in/{account_id}")
def take_part(desk: OwnDesk, entrance: EntranceHere, account_id: RowId) -> Response:
    """In the demo alone: be one of the invented people."""
    if not entrance.is_demo:
        raise NotAllowed("only in the demo can one be somebody else; sign in as yourself")
    return let_in(entrance, play(desk, account_id), "/round")


@router.get("/link/{code}")
def show_link(request: Request, desk: OwnDesk, code: str) -> Response:
    """The form behind a one-time link."""
    return _ask(request, open_invitation(desk, code).account, LinkFields())


@router.post("/link/{code}")
def take_link(
    request: Request,
    desk: OwnDesk,
    entrance: EntranceHere,
    code: str,
    form: Annotated[LinkFields, Form()],
) -> Response:
    """Make the first administrator, or set a password; signed in afterwards."""
    account = open_invitation(desk, code).account
    try:
        check_twice(form.password, form.again)
        if account is not None:
            token = accept(desk, code, password=form.password)
        else:
            token = accept_first(
                desk,
                code,
                sign_in_name=form.sign_in_name,
                name=form.name,
                password=form.password,
            )
    except InvalidInput as refused:
        return _ask(request, account, form, refusal=say(refused))
    return let_in(entrance, token, "/round" if account is not None else "/people")


def let_in(entrance: Entrance, token: str, back: str) -> Response:
    """Give the browser its token and lead it on."""
    answer = RedirectResponse(keep_inside(back), status_code=303)
    answer.set_cookie(
        entrance.cookie, token, path="/", secure=entrance.has_tls, httponly=True, samesite="lax"
    )
    return answer


def keep_inside(address: str) -> str:
    """An address of these pages, whatever was asked for."""
    is_path = address.startswith("/") and not address.startswith(("//", "/\\"))
    is_plain = all(sign > " " for sign in address)
    return address if is_path and is_plain else "/round"


def check_twice(password: str, again: str) -> None:
    """Refuse a new password that was not typed twice alike; raises InvalidInput."""
    if password != again:
        raise InvalidInput("the two passwords are not the same; type the new one twice")


def say(error: CouchsideError) -> str:
    """An error's sentence as one reads it on a page."""
    return translate(f"{sentence_case(str(error))}.")


def _ask(
    request: Request, account: Account | None, typed: LinkFields, *, refusal: str = ""
) -> Response:
    return render(
        request,
        "link.html",
        status=422 if refusal else 200,
        account=account,
        typed=typed,
        refusal=refusal,
        shortest=SHORTEST_PASSWORD,
    )
