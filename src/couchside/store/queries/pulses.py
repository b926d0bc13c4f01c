"""Recordings of recorders' own pulses."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cache

from sqlalchemy import ColumnElement, exists, select
from sqlalchemy.orm import InstrumentedAttribute, Session, aliased

from couchside.store.tables import ParcelRow, PulseRow, RecordingRow


@cache
def is_of_a_pulse(
    recording_id: InstrumentedAttribute[int] = RecordingRow.id,
) -> ColumnElement[bool]:
    """Of a recording in a query: that it stands as one of a pulse."""
    later = aliased(PulseRow)
    is_outdone = exists().where(
        later.recording_id == PulseRow.recording_id, later.number > PulseRow.number
    )
    return exists().where(PulseRow.recording_id == recording_id, PulseRow.is_pulse, ~is_outdone)


def list_pulse_sayings(session: Session, recording_id: int) -> Sequence[PulseRow]:
    """What was said of a recording, what stands last."""
    wanted = select(PulseRow).where(PulseRow.recording_id == recording_id)
    return session.scalars(wanted.order_by(PulseRow.number)).all()


def find_standing_pulse(session: Session, recording_id: int) -> PulseRow | None:
    """What stands of a recording, where it stands as one of a pulse."""
    said = list_pulse_sayings(session, recording_id)
    return said[-1] if said and said[-1].is_pulse else None


def list_pulses(
    session: Session, recorder_id: int | None, *, at_most: int
) -> Sequence[tuple[PulseRow, datetime]]:
    """Standing pulses of a recorder, or of none, and when they arrived, the newest first."""
    later = aliased(PulseRow)
    is_outdone = exists().where(
        later.recording_id == PulseRow.recording_id, later.number > PulseRow.number
    )
    wanted = (
        select(PulseRow, ParcelRow.received_at)
        .join(RecordingRow, RecordingRow.id == PulseRow.recording_id)
        .join(ParcelRow, ParcelRow.id == RecordingRow.parcel_id)
        .where(PulseRow.is_pulse, PulseRow.recorder_id.is_not_distinct_from(recorder_id))
        .where(~is_outdone)
        .order_by(RecordingRow.id.desc())
        .limit(at_most)
    )
    return [(pulse, received_at) for pulse, received_at in session.execute(wanted)]
