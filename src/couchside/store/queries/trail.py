"""The audit trail and the department's choices."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from couchside.store.chain import BEGINNING, Link
from couchside.store.tables import AuditEntryRow, SettingRow


def list_audit_entries(session: Session) -> Sequence[AuditEntryRow]:
    """Everything that was done, oldest first."""
    return session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id)).all()


def find_newest_change_id(session: Session, *, looking: str) -> int | None:
    """The number of the newest entry that is no mere look; None before the first."""
    wanted = select(AuditEntryRow.id).where(AuditEntryRow.what != looking)
    return session.scalar(wanted.order_by(AuditEntryRow.id.desc()).limit(1))


def list_last_entries(session: Session, count: int) -> Sequence[AuditEntryRow]:
    """What was done last, oldest first."""
    wanted = select(AuditEntryRow).order_by(AuditEntryRow.id.desc()).limit(count)
    return session.scalars(wanted).all()[::-1]


def get_end_of_chain(session: Session) -> str:
    """The digest of the newest entry."""
    wanted = select(AuditEntryRow.sha256).order_by(AuditEntryRow.id.desc()).limit(1)
    return session.scalar(wanted) or BEGINNING


def read_chain(session: Session) -> Iterator[Link]:
    """Every entry as the chain sees it, oldest first, without holding all of them."""
    wanted = select(AuditEntryRow).order_by(AuditEntryRow.id).execution_options(yield_per=1000)
    return (as_link(row) for row in session.scalars(wanted))


def as_link(row: AuditEntryRow) -> Link:
    """One entry as the chain sees it."""
    return Link(
        number=row.id,
        at=row.at,
        who=row.who,
        account=row.account,
        address=row.address,
        what=row.what,
        subject_kind=row.subject_kind,
        subject_id=row.subject_id,
        detail=row.detail,
        previous_sha256=row.previous_sha256,
        sha256=row.sha256,
    )


def list_entries_on(
    session: Session, kind: str, subject_id: str, *, what: str
) -> Sequence[AuditEntryRow]:
    """Each time that one deed was done to one thing, oldest first."""
    wanted = select(AuditEntryRow).where(
        AuditEntryRow.subject_kind == kind,
        AuditEntryRow.subject_id == subject_id,
        AuditEntryRow.what == what,
    )
    return session.scalars(wanted.order_by(AuditEntryRow.id)).all()


def list_deeds_since(
    session: Session, kind: str, *, what: str, since: datetime
) -> Sequence[AuditEntryRow]:
    """Each time that one deed was done to things of a kind since a moment, oldest first."""
    wanted = select(AuditEntryRow).where(
        AuditEntryRow.subject_kind == kind,
        AuditEntryRow.what == what,
        AuditEntryRow.at >= since,
    )
    return session.scalars(wanted.order_by(AuditEntryRow.id)).all()


def list_settings(session: Session) -> dict[str, SettingRow]:
    """Every choice that was made, by its name."""
    return {row.name: row for row in session.scalars(select(SettingRow))}
