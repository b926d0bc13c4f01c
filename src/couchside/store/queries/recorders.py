"""Recorders, what files say of them, and their faults and checks."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime

from sqlalchemy import ColumnElement, and_, false, func, or_, select
from sqlalchemy.orm import Session

from couchside.errors import NotFound
from couchside.store.tables import (
    FaultRow,
    ParcelRow,
    ReadinessCheckRow,
    RecorderRow,
    RecordingRow,
)


def get_recorder(session: Session, recorder_id: int) -> RecorderRow:
    """One recorder; raises NotFound."""
    recorder = session.get(RecorderRow, recorder_id)
    if recorder is None:
        raise NotFound(f"there is no recorder {recorder_id}; choose one from the readiness page")
    return recorder


def find_recorder_named(session: Session, name: str) -> RecorderRow | None:
    """The recorder of that name."""
    return session.scalar(select(RecorderRow).where(RecorderRow.name == name))


def list_recorders(session: Session) -> Sequence[RecorderRow]:
    """Recorders in use and retired, by name."""
    return session.scalars(select(RecorderRow).order_by(RecorderRow.name, RecorderRow.id)).all()


def list_stated_devices(
    session: Session, since: datetime
) -> Sequence[tuple[str, str, str, str, int]]:
    """What files that arrived since then state: manufacturer, model, serial, station; how many."""
    columns = (
        RecordingRow.manufacturer,
        RecordingRow.model,
        RecordingRow.serial_number,
        RecordingRow.station_name,
    )
    wanted = (
        select(*columns, func.count())
        .join(ParcelRow, ParcelRow.id == RecordingRow.parcel_id)
        .where(ParcelRow.received_at >= since)
        .where(or_(RecordingRow.serial_number != "", RecordingRow.station_name != ""))
        .group_by(*columns)
        .order_by(*columns)
    )
    return [(row[0], row[1], row[2], row[3], row[4]) for row in session.execute(wanted)]


def list_newest_times(
    session: Session, recorder: RecorderRow, *, since: datetime, at_most: int
) -> Sequence[tuple[datetime, datetime, float]]:
    """Of recordings that state a recorder and arrived since then: arrival, start, length in s.

    The newest first; those that state no start are left out.
    """
    wanted = (
        select(
            ParcelRow.received_at,
            RecordingRow.started_at,
            RecordingRow.sample_count / RecordingRow.rate_hz,
        )
        .join(ParcelRow, ParcelRow.id == RecordingRow.parcel_id)
        .where(_states(recorder), RecordingRow.started_at.is_not(None))
        .where(ParcelRow.received_at >= since)
        .order_by(RecordingRow.id.desc())
        .limit(at_most)
    )
    return [
        (received_at, started_at, float(length_s))
        for received_at, started_at, length_s in session.execute(wanted)
        if started_at is not None
    ]


def list_checks_on(session: Session, day: date) -> Sequence[ReadinessCheckRow]:
    """Checks of a day, the standing version of each last."""
    wanted = select(ReadinessCheckRow).where(ReadinessCheckRow.day == day)
    return session.scalars(wanted.order_by(ReadinessCheckRow.number)).all()


def list_checks_of(
    session: Session, recorder_id: int, *, at_most: int
) -> Sequence[ReadinessCheckRow]:
    """Checks of a recorder in all their versions, the newest first."""
    wanted = (
        select(ReadinessCheckRow)
        .where(ReadinessCheckRow.recorder_id == recorder_id)
        .order_by(ReadinessCheckRow.day.desc(), ReadinessCheckRow.id.desc())
        .limit(at_most)
    )
    return session.scalars(wanted).all()


def get_fault(session: Session, fault_id: int) -> FaultRow:
    """One fault; raises NotFound."""
    fault = session.get(FaultRow, fault_id)
    if fault is None:
        raise NotFound(f"there is no fault {fault_id}; choose one from a recorder's page")
    return fault


def list_open_faults(session: Session) -> Sequence[FaultRow]:
    """Faults that nobody has closed, oldest first."""
    wanted = select(FaultRow).where(FaultRow.closed_at.is_(None)).order_by(FaultRow.id)
    return session.scalars(wanted).all()


def find_last_closed(session: Session, items: Collection[str]) -> dict[int, datetime]:
    """By recorder, when a fault of one of the items was closed last."""
    wanted = (
        select(FaultRow.recorder_id, FaultRow.closed_at)
        .where(FaultRow.item.in_(items), FaultRow.closed_at.is_not(None))
        .order_by(FaultRow.closed_at)
    )
    return {
        recorder_id: closed_at
        for recorder_id, closed_at in session.execute(wanted)
        if closed_at is not None
    }


def list_faults_of(session: Session, recorder_id: int, *, at_most: int) -> Sequence[FaultRow]:
    """Faults of a recorder, open and closed, the newest first."""
    wanted = select(FaultRow).where(FaultRow.recorder_id == recorder_id)
    return session.scalars(wanted.order_by(FaultRow.id.desc()).limit(at_most)).all()


def _states(recorder: RecorderRow) -> ColumnElement[bool]:
    """That a recording states the recorder: its serial number, or its station and no other serial.

    As `couchside.service.recorders.is_stated_by` has it.
    """
    by_serial = RecordingRow.serial_number == recorder.serial_number
    if recorder.manufacturer:
        by_serial = and_(by_serial, RecordingRow.manufacturer.in_([recorder.manufacturer, ""]))
    by_station = RecordingRow.station_name == recorder.station_name
    if not recorder.serial_number:
        return by_station if recorder.station_name else false()
    if not recorder.station_name:
        return by_serial
    return or_(by_serial, and_(RecordingRow.serial_number == "", by_station))
