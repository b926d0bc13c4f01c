"""The audit trail: who did what to what, written in the same transaction as the deed."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.service.desk import Desk
from couchside.store.queries.trail import find_newest_entry_id
from couchside.store.tables import AuditEntryRow


class Deed(StrEnum):
    """What was done."""

    RECEIVED = "received"
    RECEIVED_AGAIN = "received again"
    NOT_READABLE = "found not readable"
    CUT_OFF = "found cut off by a crash"
    FILED = "filed under an order"
    MOVED = "moved to another order"
    ASSESSED_AGAIN = "assessed again"
    DECIDED = "decided"
    DESCRIBED = "described"
    IDENTITY_CHECKED = "checked the identity"
    TOLD = "told"
    ROUND_CLOSED = "closed the round"
    ORDERED = "ordered"
    PATIENT_COMPLETED = "completed"
    PROBLEM_SET_ASIDE = "set aside"
    EXPORTED = "exported"
    SETTINGS_CHANGED = "changed"


class Subject(StrEnum):
    """To what it was done."""

    PARCEL = "parcel"
    RECORDING = "recording"
    ORDER = "order"
    ROUND = "round"
    PATIENT = "patient"
    PROBLEM = "arrival problem"
    SETTINGS = "settings"


def get_change_mark(desk: Desk) -> int:
    """A number that is another one whenever anything was done since."""
    with desk.store.reading() as session:
        return find_newest_entry_id(session) or 0


def write_trail(
    session: Session,
    desk: Desk,
    deed: Deed,
    *,
    subject: Subject,
    subject_id: int | str,
    detail: Mapping[str, object] | None = None,
) -> None:
    """Add an entry; it stands if and only if the session's changes stand."""
    session.add(
        AuditEntryRow(
            at=desk.now(),
            who=desk.who,
            what=deed.value,
            subject_kind=subject.value,
            subject_id=str(subject_id),
            detail=dict(detail or {}),
        )
    )
