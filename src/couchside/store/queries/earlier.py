"""A person's earlier recordings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from couchside.store.tables import AttemptRow, OrderRow, PatientRow, RecordingRow


def list_earlier_recordings(
    session: Session, identifier: str, before: datetime, *, at_most: int
) -> Sequence[RecordingRow]:
    """Recordings of a patient number that began before a moment, the newest first.

    The number is that of the order under which a recording lies, or else the one that it states.
    """
    wanted = (
        select(RecordingRow)
        .outerjoin(AttemptRow, AttemptRow.recording_id == RecordingRow.id)
        .outerjoin(OrderRow, OrderRow.id == AttemptRow.order_id)
        .outerjoin(PatientRow, PatientRow.id == OrderRow.patient_id)
        .where(
            RecordingRow.started_at < before,
            or_(
                PatientRow.identifier == identifier,
                PatientRow.id.is_(None) & (RecordingRow.patient_identifier == identifier),
            ),
        )
        .order_by(RecordingRow.started_at.desc(), RecordingRow.id.desc())
        .limit(at_most)
    )
    return session.scalars(wanted).all()
