"""The people who work with Couchside: their accounts, roles and rights."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.service.desk import Desk
from couchside.service.text_limits import LONGEST_NAME, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.accounts import (
    find_account,
    find_account_named,
    get_account,
    has_accounts,
    list_accounts,
    list_open_sign_ins,
)
from couchside.store.tables import AccountRow
from couchside.store.words import Role

_SIGN_IN_NAME = re.compile(r"[a-z0-9][a-z0-9._@-]{1,63}")


class Right(StrEnum):
    """What somebody may do."""

    SEE = "see patients and recordings"
    RECORD = "take recordings in and decide on them"
    CHOOSE = "change the department's settings"
    ADMIT = "say who may sign in"


RIGHTS = {
    Role.RECORDER: frozenset({Right.SEE, Right.RECORD}),
    Role.READER: frozenset({Right.SEE}),
    Role.LEAD: frozenset({Right.SEE, Right.RECORD, Right.CHOOSE}),
    Role.ADMINISTRATOR: frozenset({Right.SEE, Right.RECORD, Right.CHOOSE, Right.ADMIT}),
}
"""What each role may do; the only place that says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Somebody who works with Couchside."""

    id: int
    sign_in_name: str
    name: str
    role: Role
    is_active: bool
    has_password: bool
    has_pin: bool
    is_known_elsewhere: bool

    @property
    def rights(self) -> frozenset[Right]:
        """What this person may do; nothing while the account is closed."""
        return RIGHTS[self.role] if self.is_active else frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewAccount:
    """An account to be."""

    sign_in_name: str
    name: str
    role: Role


def is_anybody_known(desk: Desk) -> bool:
    """Whether there is any account."""
    with desk.store.reading() as session:
        return has_accounts(session)


def list_people(desk: Desk) -> tuple[Account, ...]:
    """Everybody, by name."""
    with desk.store.reading() as session:
        return tuple(as_account(row) for row in list_accounts(session))


def add_account(desk: Desk, new: NewAccount) -> Account:
    """Make an account, which cannot be signed in to before its one-time link was used.

    Raises InvalidInput where a name is missing, unusable or taken.
    """
    with desk.store.writing() as session:
        return as_account(insert_account(session, desk, new))


def change_account(desk: Desk, account_id: int, *, role: Role, is_active: bool) -> Account:
    """Give somebody another role, or close or open the account; a closed one is signed out at once.

    Raises NotFound, and InvalidInput where no administrator would be left.
    """
    with desk.store.writing() as session:
        row = get_account(session, account_id)
        before = {"role": row.role.value, "is_active": row.is_active}
        row.role, row.is_active = role, is_active
        session.flush()
        _check_administrator_left(session)
        if not is_active:
            end_sign_ins(session, desk, row.id)
        write_trail(
            session,
            desk,
            Deed.ACCOUNT_CHANGED,
            subject=Subject.ACCOUNT,
            subject_id=row.sign_in_name,
            detail={"from": before, "to": {"role": role.value, "is_active": is_active}},
        )
        return as_account(row)


def insert_account(session: Session, desk: Desk, new: NewAccount, identity: str = "") -> AccountRow:
    """Add an account within a transaction; raises InvalidInput."""
    sign_in_name, name = new.sign_in_name.strip().casefold(), " ".join(new.name.split())
    _check_names(session, sign_in_name, name)
    row = AccountRow(
        sign_in_name=sign_in_name,
        name=name,
        role=new.role,
        is_active=True,
        password_hash="",
        pin_hash="",
        identity=identity or None,
        created_at=desk.now(),
    )
    session.add(row)
    session.flush()
    write_trail(
        session,
        desk,
        Deed.ACCOUNT_ADDED,
        subject=Subject.ACCOUNT,
        subject_id=sign_in_name,
        detail={"name": name, "role": new.role.value},
    )
    return row


def end_sign_ins(session: Session, desk: Desk, account_id: int, *, but: int | None = None) -> None:
    """Sign somebody out everywhere, `but` in one place."""
    for sign_in in list_open_sign_ins(session, account_id):
        if sign_in.id != but:
            sign_in.ended_at = desk.now()


def as_account(row: AccountRow) -> Account:
    """An account without its secrets."""
    return Account(
        id=row.id,
        sign_in_name=row.sign_in_name,
        name=row.name,
        role=row.role,
        is_active=row.is_active,
        has_password=bool(row.password_hash),
        has_pin=bool(row.pin_hash),
        is_known_elsewhere=row.identity is not None,
    )


def _check_names(session: Session, sign_in_name: str, name: str) -> None:
    if not _SIGN_IN_NAME.fullmatch(sign_in_name):
        raise InvalidInput(
            f"{sign_in_name!r} cannot be a sign-in name; take 2 to 64 letters a to z, digits, or "
            ". _ @ -"
        )
    if not name:
        raise InvalidInput("the name is empty; give the name that decisions are to bear")
    check_length("name", name, LONGEST_NAME)
    if find_account(session, sign_in_name):
        raise InvalidInput(f"somebody signs in as {sign_in_name} already; take another")
    if find_account_named(session, name):
        raise InvalidInput(
            f"there is a {name} already, and decisions must tell the two apart; add a middle name "
            "or the ward"
        )


def _check_administrator_left(session: Session) -> None:
    if not any(row.is_active and row.role is Role.ADMINISTRATOR for row in list_accounts(session)):
        raise InvalidInput(
            "no administrator would be left; make somebody else an administrator first"
        )
