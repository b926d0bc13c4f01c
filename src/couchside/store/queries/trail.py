"""The audit trail and the department's choices."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from couchside.store.tables import AuditEntryRow, SettingRow


def list_audit_entries(session: Session) -> Sequence[AuditEntryRow]:
    """Everything that was done, oldest first."""
    return session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id)).all()


def find_newest_entry_id(session: Session) -> int | None:
    """The number of the newest entry; None before the first."""
    return session.scalar(select(func.max(AuditEntryRow.id)))


def list_entries_on(session: Session, kind: str, subject_id: str) -> Sequence[AuditEntryRow]:
    """What was done to one thing, oldest first."""
    wanted = select(AuditEntryRow).where(
        AuditEntryRow.subject_kind == kind, AuditEntryRow.subject_id == subject_id
    )
    return session.scalars(wanted.order_by(AuditEntryRow.id)).all()


def list_settings(session: Session) -> dict[str, SettingRow]:
    """Every choice that was made, by its name."""
    return {row.name: row for row in session.scalars(select(SettingRow))}
