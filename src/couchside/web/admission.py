"""Who asks, and whether they may: the one place where a right is checked.

Every page but those for signing in stands behind `admit`: to look, one must be signed in and may
see; to change anything, one must be a person who records. A page that wants another right says so
with `require`.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, replace
from typing import Annotated, cast

from fastapi import Depends, Request
from fastapi.params import Depends as Dependency
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from couchside.errors import NotAllowed
from couchside.service import Desk
from couchside.service.accounts import Account, Right, is_anybody_known, list_people
from couchside.service.demo import RECORDER
from couchside.service.passwords import make_form_token
from couchside.service.signing_in import (
    SignedIn,
    find_signed_in,
    is_awake_anew,
    note_awake,
)
from couchside.web.entrance import Entrance
from couchside.web.moments import get_moment

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
FORM_TOKEN = "form_token"  # noqa: S105 - the name of a field
FORM_TOKEN_HEADER = "x-form-token"  # noqa: S105 - the name of a header
RENEWALS = frozenset(
    {"/round/now", "/recordings/{recording_id}/newer", "/changes", "/tell-now/open"}
)
"""Asked for by pages themselves: they keep nobody awake."""

_RIGHTS_WITHOUT_ACCOUNTS = frozenset({Right.SEE, Right.RECORD, Right.CHOOSE})


class NotSignedIn(NotAllowed):
    """Nobody is signed in at that browser."""


class Locked(NotAllowed):
    """Somebody is, but has gone away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """Who asks.

    `account` is None where nobody has an account here yet, `signed_in` where nobody had to sign in.
    `form_token` is what forms must bring back; empty where there is no sign-in to be misused.
    """

    who: str
    rights: frozenset[Right]
    account: Account | None = None
    signed_in: SignedIn | None = None
    token: str = ""
    form_token: str = ""
    is_demo: bool = False

    @property
    def may_see_now(self) -> bool:
        """Whether patients may be shown: not while the browser is locked."""
        is_locked = self.signed_in is not None and self.signed_in.is_locked
        return Right.SEE in self.rights and not is_locked

    @property
    def may_choose(self) -> bool:
        """Whether the settings may be changed."""
        return Right.CHOOSE in self.rights

    @property
    def may_record(self) -> bool:
        """Whether recordings may be taken in and decided on."""
        return Right.RECORD in self.rights

    @property
    def may_admit(self) -> bool:
        """Whether accounts may be made and changed."""
        return Right.ADMIT in self.rights


class Accounts:
    """Whether anybody can sign in; once so, always so, for no account is ever deleted."""

    def __init__(self) -> None:
        self._are_known = False

    def are_known(self, desk: Desk) -> bool:
        """Ask the database until it says yes."""
        self._are_known = self._are_known or is_anybody_known(desk)
        return self._are_known


async def get_entrance(request: Request) -> Entrance:
    """How visitors come in here."""
    return cast("Entrance", request.app.state.entrance)


async def get_own_desk(request: Request) -> Desk:
    """The server's own desk, with nobody at it but the machine that asks.

    What only looks is answered as of the moment at which it was asked.
    """
    desk = cast("Desk", request.app.state.desk)
    address = request.client.host if request.client else ""
    as_of = get_moment(request).mark if request.method in SAFE_METHODS else None
    return replace(desk, address=address, as_of=as_of)


OwnDesk = Annotated[Desk, Depends(get_own_desk)]
EntranceHere = Annotated[Entrance, Depends(get_entrance)]


def find_visitor(request: Request, desk: OwnDesk, entrance: EntranceHere) -> Visitor | None:
    """Who asks; None where they must sign in first."""
    visitor = _find_signed_in(request, desk, entrance) or _find_without_sign_in(
        request, desk, entrance
    )
    request.state.visitor = visitor
    return visitor


MaybeVisitor = Annotated[Visitor | None, Depends(find_visitor)]


async def get_visitor(visitor: MaybeVisitor) -> Visitor:
    """Who asks, awake and signed in; raises NotSignedIn and Locked."""
    if visitor is None:
        raise NotSignedIn("nobody is signed in here; sign in first")
    if visitor.signed_in is not None and visitor.signed_in.is_locked:
        raise Locked("this browser is locked; give your PIN or password first")
    return visitor


VisitorHere = Annotated[Visitor, Depends(get_visitor)]


def require(right: Right) -> Dependency:
    """A dependency that lets a visitor through who has that right; raises NotAllowed."""
    return cast("Dependency", Depends(_make_check(right)))


async def admit(request: Request, visitor: VisitorHere, desk: OwnDesk) -> None:
    """Let whoever may see look, and whoever may record change things; raises NotAllowed."""
    check_right(visitor, Right.SEE if request.method in SAFE_METHODS else Right.RECORD)
    signed_in = visitor.signed_in
    is_asked_by_hand = request.scope["route"].path not in RENEWALS
    if signed_in is not None and is_asked_by_hand and is_awake_anew(desk, signed_in):
        await run_in_threadpool(note_awake, desk, visitor.token, signed_in)


async def check_form(request: Request, visitor: MaybeVisitor) -> None:
    """Refuse a form that was not made for this sign-in; raises NotAllowed."""
    if request.method in SAFE_METHODS or visitor is None or not visitor.form_token:
        return
    brought: str | UploadFile | None = request.headers.get(FORM_TOKEN_HEADER)
    if brought is None:
        brought = (await request.form()).get(FORM_TOKEN)
    if not isinstance(brought, str) or not hmac.compare_digest(
        brought.encode(), visitor.form_token.encode()
    ):
        raise NotAllowed(
            "this form was made for another sign-in; go back, load the page again and repeat"
        )


def check_right(visitor: Visitor, right: Right) -> None:
    """Raises NotAllowed with who may not do what."""
    if right in visitor.rights:
        return
    role = f" is a {visitor.account.role.value} and" if visitor.account else ""
    raise NotAllowed(
        f"{visitor.who}{role} may not {right.value}; ask somebody who may, or an administrator"
    )


def sit_down(desk: Desk, visitor: Visitor | None) -> Desk:
    """The desk with the visitor at it."""
    if visitor is None or visitor.account is None:
        return desk
    account = visitor.account
    return desk.with_person(account.name, account=account.sign_in_name, address=desk.address)


def _make_check(right: Right) -> Callable[[Visitor], Awaitable[None]]:
    async def check(visitor: VisitorHere) -> None:
        check_right(visitor, right)

    return check


def _find_signed_in(request: Request, desk: Desk, entrance: Entrance) -> Visitor | None:
    token = request.cookies.get(entrance.cookie, "")
    if not token:
        return None
    lock_after = entrance.lock_after or get_moment(request).settings.lock_after
    found = find_signed_in(desk, token, lock_after=lock_after)
    if found is None:
        return None
    return Visitor(
        who=found.account.name,
        rights=found.account.rights,
        account=found.account,
        signed_in=found,
        token=token,
        form_token=make_form_token(token),
        is_demo=entrance.is_demo,
    )


def _find_without_sign_in(request: Request, desk: Desk, entrance: Entrance) -> Visitor | None:
    if entrance.is_demo:
        return _play_first(desk)
    known = cast("Accounts", request.app.state.accounts)
    if entrance.is_this_machine_only and not known.are_known(desk):
        return Visitor(who=desk.who, rights=_RIGHTS_WITHOUT_ACCOUNTS)
    return None


def _play_first(desk: Desk) -> Visitor | None:
    """In the demo, the invented recorder is there already."""
    for account in list_people(desk):
        if account.name == RECORDER:
            return Visitor(who=account.name, rights=account.rights, account=account, is_demo=True)
    return None
