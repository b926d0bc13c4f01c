"""The audit trail and the department's choices."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from couchside.store.tables import AuditEntryRow, SettingRow


def list_audit_entries(session: Session) -> Sequence[AuditEntryRow]:
    """Everything that was done, oldest first."""
    return session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id)).all()


def list_settings(session: Session) -> dict[str, SettingRow]:
    """Every choice that was made, by its name."""
    return {row.name: row for row in session.scalars(select(SettingRow))}
