"""A person's recordings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from couchside.store.queries.orders import list_numbers
from couchside.store.queries.pulses import is_of_a_pulse
from couchside.store.tables import AttemptRow, OrderRow, ParcelRow, PatientRow, RecordingRow


def list_earlier_recordings(
    session: Session, identifier: str, before: datetime, *, at_most: int
) -> Sequence[RecordingRow]:
    """Recordings of a patient number that began before a moment, the newest first.

    The number is that of the order under which a recording lies, or else the one that it states; a
    number that was corrected means the same person.
    """
    wanted = (
        _of_number(session, identifier)
        .where(RecordingRow.started_at < before)
        .order_by(RecordingRow.started_at.desc(), RecordingRow.id.desc())
        .limit(at_most)
    )
    return session.scalars(wanted).all()


def list_recordings_of(
    session: Session, identifier: str, *, at_most: int
) -> Sequence[RecordingRow]:
    """Recordings of a patient number, the newest first; by arrival where no start is stated."""
    began = func.coalesce(RecordingRow.started_at, ParcelRow.received_at)
    wanted = (
        _of_number(session, identifier)
        .join(ParcelRow, ParcelRow.id == RecordingRow.parcel_id)
        .order_by(began.desc(), RecordingRow.id.desc())
        .limit(at_most)
    )
    return session.scalars(wanted).all()


def _of_number(session: Session, identifier: str) -> Select[RecordingRow]:
    numbers = list_numbers(session, identifier)
    return (
        select(RecordingRow)
        .outerjoin(AttemptRow, AttemptRow.recording_id == RecordingRow.id)
        .outerjoin(OrderRow, OrderRow.id == AttemptRow.order_id)
        .outerjoin(PatientRow, PatientRow.id == OrderRow.patient_id)
        .where(
            ~is_of_a_pulse(),
            or_(
                PatientRow.identifier == numbers[0],
                PatientRow.id.is_(None) & RecordingRow.patient_identifier.in_(numbers),
            ),
        )
    )
