"""Who did what when, and what the department has chosen."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from couchside.store.tables.base import Base


class AuditEntryRow(Base):
    """One thing that was done; entries are added and never changed.

    `who` is the name that is shown, `account` the sign-in name, empty where nobody signed in, and
    `address` the machine that asked. The digests chain each entry to the one before it, and no two
    entries can follow the same one.
    """

    __tablename__ = "audit_entries"
    __table_args__ = (Index(None, "subject_kind", "subject_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[dt.datetime]
    who: Mapped[str]
    what: Mapped[str]
    subject_kind: Mapped[str]
    subject_id: Mapped[str]
    detail: Mapped[dict[str, object]]
    account: Mapped[str]
    address: Mapped[str]
    previous_sha256: Mapped[str] = mapped_column(unique=True)
    sha256: Mapped[str]


class SettingRow(Base):
    """One choice of the department."""

    __tablename__ = "settings"

    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]
    changed_at: Mapped[dt.datetime]
    changed_by: Mapped[str]
