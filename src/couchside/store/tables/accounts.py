"""Who may sign in, who has, and who tried."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.store.tables.base import Base
from couchside.store.words import Role


class AccountRow(Base):
    """Somebody who works with Couchside.

    `sign_in_name` is in lower case. `password_hash` and `pin_hash` are empty where none is set;
    `identity` is what a single sign-on knows the person by, None where it does not.
    """

    __tablename__ = "accounts"

    id: Mapped[int] = mapped_column(primary_key=True)
    sign_in_name: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str] = mapped_column(unique=True)
    role: Mapped[Role]
    is_active: Mapped[bool]
    password_hash: Mapped[str]
    pin_hash: Mapped[str]
    identity: Mapped[str | None] = mapped_column(unique=True)
    created_at: Mapped[dt.datetime]


class SignInRow(Base):
    """One person signed in at one browser; the token itself is nowhere but in that browser."""

    __tablename__ = "sign_ins"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_sha256: Mapped[str] = mapped_column(unique=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    address: Mapped[str]
    began_at: Mapped[dt.datetime]
    last_seen_at: Mapped[dt.datetime]
    locked_at: Mapped[dt.datetime | None]
    ended_at: Mapped[dt.datetime | None]
    failed_unlocks: Mapped[int]

    account: Mapped[AccountRow] = relationship(lazy="joined", innerjoin=True)


class FailedTryRow(Base):
    """A try to sign in that has not succeeded, or not yet."""

    __tablename__ = "failed_tries"
    __table_args__ = (Index(None, "sign_in_name", "at"), Index(None, "address", "at"))

    id: Mapped[int] = mapped_column(primary_key=True)
    sign_in_name: Mapped[str]
    address: Mapped[str]
    at: Mapped[dt.datetime]


class InvitationRow(Base):
    """A link that works once: for an account to choose its password, or for the first one.

    `account_id` is None in the link that makes the first administrator.
    """

    __tablename__ = "invitations"

    id: Mapped[int] = mapped_column(primary_key=True)
    code_sha256: Mapped[str] = mapped_column(unique=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    expires_at: Mapped[dt.datetime]
    used_at: Mapped[dt.datetime | None]
