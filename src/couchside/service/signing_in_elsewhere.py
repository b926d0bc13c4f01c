"""Signing in by another server's word: accounts made, matched and connected by who it is."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput, NotAllowed
from couchside.service.accounts import NewAccount, insert_account
from couchside.service.desk import Desk
from couchside.service.signing_in import begin_sign_in
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.accounts import (
    find_account,
    find_account_named,
    find_account_of_identity,
    get_account,
)
from couchside.store.tables import AccountRow
from couchside.store.words import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonElsewhere:
    """Somebody whom another server knows.

    Parameters
    ----------
    issuer, subject : str
        That server, and its own sign for the person. Together they are who it is, and nothing else
        is: names and e-mail addresses pass from one person to another [OIDC-CORE 5.7].
    sign_in_name, name : str
        What they are called there.
    role : Role
        What they may be here.
    is_role_by_provider : bool
        The role is the other server's to say, at each sign-in.
    """

    issuer: str
    subject: str
    sign_in_name: str
    name: str
    role: Role
    is_role_by_provider: bool

    @property
    def identity(self) -> str:
        """Issuer and subject in one text that no other pair has: an issuer has no blank."""
        return f"{self.issuer} {self.subject}"


def sign_in_elsewhere(desk: Desk, person: PersonElsewhere) -> str:
    """Sign in somebody for whom the other server vouches, and give the token for their browser.

    Who comes for the first time gets an account. Raises NotAllowed where theirs is closed, and
    InvalidInput where another account has their sign-in name.
    """
    with desk.store.writing() as session:
        account = find_account_of_identity(session, person.identity)
        if account is None:
            account = _make_account(session, desk, person)
        if account.is_active:
            _take_role(session, desk, account, person)
            return begin_sign_in(session, desk, account)
        _write(session, desk, Deed.SIGN_IN_REFUSED, account, {"why": "closed"})
    raise NotAllowed(f"the account of {person.name} is closed; ask an administrator to open it")


def connect(desk: Desk, account_id: int, person: PersonElsewhere) -> None:
    """Let somebody who is signed in here sign in by the other server's word from now on.

    Raises InvalidInput where that identity is another account's already, or theirs is another.
    """
    with desk.store.writing() as session:
        account = get_account(session, account_id)
        owner = find_account_of_identity(session, person.identity)
        if owner is not None and owner.id != account_id:
            raise InvalidInput(
                f"that is how {owner.name} signs in; sign out there first, and in as yourself"
            )
        if account.identity not in {None, person.identity}:
            raise InvalidInput(
                f"{account.name} is connected with another person there; ask an administrator for "
                "an account of your own"
            )
        account.identity = person.identity
        _write(session, desk, Deed.CONNECTED, account, {"identity": person.identity})


def _make_account(session: Session, desk: Desk, person: PersonElsewhere) -> AccountRow:
    name = person.sign_in_name
    if find_account(session, name) is not None:
        raise InvalidInput(
            f"another account here has the sign-in name {name}; if it is yours, sign in with its "
            "password and connect the two under “Password and PIN”, else ask an administrator"
        )
    new = NewAccount(sign_in_name=name, name=_tell_apart(session, person), role=person.role)
    newcomer = desk.with_person(new.name, account=name, address=desk.address)
    return insert_account(session, newcomer, new, person.identity)


def _tell_apart(session: Session, person: PersonElsewhere) -> str:
    """Decisions bear names, so two people of one name must not have it both."""
    if find_account_named(session, person.name) is None:
        return person.name
    return f"{person.name} ({person.sign_in_name})"


def _take_role(session: Session, desk: Desk, account: AccountRow, person: PersonElsewhere) -> None:
    if not person.is_role_by_provider or account.role is person.role:
        return
    before, account.role = account.role, person.role
    changes = {"from": {"role": before.value}, "to": {"role": person.role.value}}
    _write(session, desk, Deed.ACCOUNT_CHANGED, account, changes | {"by": person.issuer})


def _write(
    session: Session, desk: Desk, deed: Deed, account: AccountRow, detail: dict[str, object]
) -> None:
    write_trail(
        session,
        desk,
        deed,
        subject=Subject.ACCOUNT,
        subject_id=account.sign_in_name,
        detail=detail,
    )
