"""Accounts, their sign-ins, and tries that failed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import delete, exists, or_, select
from sqlalchemy.orm import Session

from couchside.errors import NotFound
from couchside.store.tables import AccountRow, FailedTryRow, InvitationRow, SignInRow


def has_accounts(session: Session) -> bool:
    """Whether anybody can sign in at all."""
    return bool(session.scalar(select(exists().where(AccountRow.id.is_not(None)))))


def list_accounts(session: Session) -> Sequence[AccountRow]:
    """Everybody, by name."""
    return session.scalars(select(AccountRow).order_by(AccountRow.name)).all()


def get_account(session: Session, account_id: int) -> AccountRow:
    """One account; raises NotFound."""
    account = session.get(AccountRow, account_id)
    if account is None:
        raise NotFound(f"there is no account {account_id}; choose one from the list of people")
    return account


def find_account(session: Session, sign_in_name: str) -> AccountRow | None:
    """The account of that sign-in name."""
    return session.scalar(select(AccountRow).where(AccountRow.sign_in_name == sign_in_name))


def find_account_named(session: Session, name: str) -> AccountRow | None:
    """The account of the person of that name."""
    return session.scalar(select(AccountRow).where(AccountRow.name == name))


def find_account_of_identity(session: Session, identity: str) -> AccountRow | None:
    """The account that a single sign-on knows by that identity."""
    return session.scalar(select(AccountRow).where(AccountRow.identity == identity))


def find_sign_in(session: Session, token_sha256: str) -> SignInRow | None:
    """The sign-in of that token, ended or not."""
    return session.scalar(select(SignInRow).where(SignInRow.token_sha256 == token_sha256))


def list_open_sign_ins(session: Session, account_id: int) -> Sequence[SignInRow]:
    """Where a person is signed in."""
    wanted = select(SignInRow).where(
        SignInRow.account_id == account_id, SignInRow.ended_at.is_(None)
    )
    return session.scalars(wanted).all()


def list_tries(
    session: Session, *, sign_in_name: str, address: str, since: datetime
) -> Sequence[FailedTryRow]:
    """Tries of that name or from that address, oldest first."""
    wanted = (
        select(FailedTryRow)
        .where(
            or_(FailedTryRow.sign_in_name == sign_in_name, FailedTryRow.address == address),
            FailedTryRow.at >= since,
        )
        .order_by(FailedTryRow.at)
    )
    return session.scalars(wanted).all()


def forget_tries(session: Session, *, sign_in_name: str, address: str) -> None:
    """Whoever has signed in is counted anew."""
    session.execute(
        delete(FailedTryRow).where(
            FailedTryRow.sign_in_name == sign_in_name, FailedTryRow.address == address
        )
    )


def forget_old_tries(session: Session, before: datetime) -> None:
    """Tries that count no more; the audit trail keeps that they were made."""
    session.execute(delete(FailedTryRow).where(FailedTryRow.at < before))


def find_invitation(session: Session, code_sha256: str) -> InvitationRow | None:
    """The invitation of that code, used or not."""
    return session.scalar(select(InvitationRow).where(InvitationRow.code_sha256 == code_sha256))


def list_open_invitations(session: Session, account_id: int | None) -> Sequence[InvitationRow]:
    """Links to one account, or to the first one, that nobody has used."""
    wanted = select(InvitationRow).where(
        InvitationRow.account_id == account_id
        if account_id is not None
        else InvitationRow.account_id.is_(None),
        InvitationRow.used_at.is_(None),
    )
    return session.scalars(wanted).all()
