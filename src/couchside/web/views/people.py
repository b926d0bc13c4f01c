"""Who may sign in, and as what."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.service import Desk
from couchside.service.accounts import (
    Account,
    NewAccount,
    Right,
    add_account,
    change_account,
    list_people,
)
from couchside.service.inviting import invite
from couchside.store.words import Role
from couchside.web.admission import require
from couchside.web.lookup import DeskHere, RowId
from couchside.web.rendering import render

router = APIRouter(prefix="/people", include_in_schema=False)
admits = require(Right.ADMIT)

Typed = Annotated[str, Form(max_length=200)]


@router.get("", dependencies=[admits])
def show_people(request: Request, desk: DeskHere) -> Response:
    """Everybody who works with Couchside."""
    return _show(request, desk)


@router.post("", dependencies=[admits])
def take_person(
    request: Request,
    desk: DeskHere,
    role: Annotated[Role, Form()],
    name: Typed,
    sign_in_name: Typed,
) -> Response:
    """Make an account; the link with which its person chooses a password is shown once."""
    account = add_account(desk, NewAccount(sign_in_name=sign_in_name, name=name, role=role))
    return _show(request, desk, invited=account, link=_make_link(request, desk, account.id))


@router.post("/{account_id}", dependencies=[admits])
def take_change(
    desk: DeskHere,
    account_id: RowId,
    role: Annotated[Role, Form()],
    is_active: Annotated[bool, Form()] = False,  # noqa: FBT002 - a box that is not ticked
) -> Response:
    """Give somebody another role, or close or open the account."""
    change_account(desk, account_id, role=role, is_active=is_active)
    return RedirectResponse("/people", status_code=303)


@router.post("/{account_id}/link", dependencies=[admits])
def take_link_wish(request: Request, desk: DeskHere, account_id: RowId) -> Response:
    """Another link, for whoever has lost the password or the first link."""
    link = _make_link(request, desk, account_id)
    invited = next(each for each in list_people(desk) if each.id == account_id)
    return _show(request, desk, invited=invited, link=link)


def _show(
    request: Request, desk: Desk, *, invited: Account | None = None, link: str = ""
) -> Response:
    return render(
        request,
        "people.html",
        people=list_people(desk),
        roles=tuple(Role),
        invited=invited,
        link=link,
    )


def _make_link(request: Request, desk: Desk, account_id: int) -> str:
    return str(request.url_for("show_link", code=invite(desk, account_id)))
