"""Links that work once: the first administrator makes an account, others choose a password."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput, NotAllowed
from couchside.service.accounts import (
    Account,
    NewAccount,
    as_account,
    end_sign_ins,
    insert_account,
)
from couchside.service.desk import Desk
from couchside.service.passwords import check_password, digest_of, hash_secret, make_token
from couchside.service.signing_in import begin_sign_in
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.accounts import (
    find_invitation,
    get_account,
    has_accounts,
    list_open_invitations,
)
from couchside.store.tables import InvitationRow
from couchside.store.words import Role

FIRST_LINK_LASTS = timedelta(hours=1)
LINK_LASTS = timedelta(days=2)
_NO_MORE = (
    "this link has been used or has expired; ask an administrator for another, or where there is "
    "none yet, start Couchside again"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """What a link is good for: `account` is None where it makes the first administrator."""

    account: Account | None


def invite_first(desk: Desk) -> str | None:
    """The code of a link that makes the first administrator; None where anybody can sign in.

    A link made before no longer works.
    """
    with desk.store.writing() as session:
        if has_accounts(session):
            return None
        return _make(session, desk, account_id=None, lasts=FIRST_LINK_LASTS)


def invite(desk: Desk, account_id: int) -> str:
    """The code of a link with which somebody chooses a password; raises NotFound.

    A link made for them before no longer works.
    """
    with desk.store.writing() as session:
        account = get_account(session, account_id)
        write_trail(
            session,
            desk,
            Deed.LINK_MADE,
            subject=Subject.ACCOUNT,
            subject_id=account.sign_in_name,
        )
        return _make(session, desk, account_id=account.id, lasts=LINK_LASTS)


def open_invitation(desk: Desk, code: str) -> Invitation:
    """What a link is good for; raises NotAllowed where it is good for nothing any more."""
    with desk.store.reading() as session:
        row = _get(session, desk, code)
        if row.account_id is None:
            return Invitation(account=None)
        return Invitation(account=as_account(get_account(session, row.account_id)))


def accept_first(desk: Desk, code: str, *, sign_in_name: str, name: str, password: str) -> str:
    """Make the first administrator and sign them in; gives the token.

    Raises NotAllowed where the link is used up, InvalidInput where names or password will not do.
    """
    check_password(password, sign_in_name=sign_in_name, name=name)
    password_hash = hash_secret(password)
    with desk.store.writing() as session:
        row = _get(session, desk, code)
        if row.account_id is not None or has_accounts(session):
            raise NotAllowed(_NO_MORE)
        row.used_at = desk.now()
        account = insert_account(
            session,
            desk.with_person(name.strip() or desk.who, address=desk.address),
            NewAccount(sign_in_name=sign_in_name, name=name, role=Role.ADMINISTRATOR),
        )
        account.password_hash = password_hash
        return begin_sign_in(session, desk, account)


def accept(desk: Desk, code: str, *, password: str) -> str:
    """Set the password of the account that a link is for, and sign in; raises as accept_first."""
    invited = open_invitation(desk, code).account
    if invited is None:
        raise InvalidInput("this link makes the first administrator; give a name too")
    check_password(password, sign_in_name=invited.sign_in_name, name=invited.name)
    password_hash = hash_secret(password)
    with desk.store.writing() as session:
        row = _get(session, desk, code)
        account = get_account(session, invited.id)
        row.used_at = desk.now()
        account.password_hash = password_hash
        end_sign_ins(session, desk, account.id)
        write_trail(
            session,
            desk.with_person(account.name, account=account.sign_in_name, address=desk.address),
            Deed.PASSWORD_CHANGED,
            subject=Subject.ACCOUNT,
            subject_id=account.sign_in_name,
        )
        return begin_sign_in(session, desk, account)


def _make(session: Session, desk: Desk, *, account_id: int | None, lasts: timedelta) -> str:
    for earlier in list_open_invitations(session, account_id):
        earlier.used_at = desk.now()
    code = make_token()
    session.add(
        InvitationRow(
            code_sha256=digest_of(code),
            account_id=account_id,
            expires_at=desk.now() + lasts,
            used_at=None,
        )
    )
    return code


def _get(session: Session, desk: Desk, code: str) -> InvitationRow:
    row = find_invitation(session, digest_of(code))
    if row is None or row.used_at is not None or row.expires_at < desk.now():
        raise NotAllowed(_NO_MORE)
    if row.account_id is not None and not get_account(session, row.account_id).is_active:
        raise NotAllowed("this account is closed; ask an administrator to open it")
    return row
