"""Recorders, whether they are fit for the next patient, and recordings of their own pulse."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.store.tables.base import Base
from couchside.store.words import PartOfDay


class RecorderRow(Base):
    """A machine of the department.

    By serial number, else by station name, a file that states one is known as the recorder's;
    `number` counts the versions of what is said of it, from 1.
    """

    __tablename__ = "recorders"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    place: Mapped[str]
    manufacturer: Mapped[str]
    model: Mapped[str]
    serial_number: Mapped[str]
    station_name: Mapped[str]
    number: Mapped[int]
    registered_at: Mapped[dt.datetime]
    retired_at: Mapped[dt.datetime | None]
    retired_because: Mapped[str]


class PulseRow(Base):
    """That a recording is of a recorder's own pulse, or is not; the highest number stands.

    Number 1 is by the signal at arrival, unless a person said it first. `failures` are what is
    wrong with the pulse, lead by lead.
    """

    __tablename__ = "pulses"
    __table_args__ = (UniqueConstraint("recording_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"))
    number: Mapped[int]
    is_pulse: Mapped[bool]
    has_passed: Mapped[bool]
    failures: Mapped[dict[str, object]]
    recorder_id: Mapped[int | None] = mapped_column(ForeignKey("recorders.id"), index=True)
    because: Mapped[str]
    who: Mapped[str]
    said_at: Mapped[dt.datetime]


class ReadinessCheckRow(Base):
    """A recorder was checked at the start or the end of a day; the highest number stands.

    `answers` holds the answer to each item of the checklist, with the item as it was worded;
    `lots` the electrodes beside the recorder and until when they are good.
    """

    __tablename__ = "readiness_checks"
    __table_args__ = (
        UniqueConstraint("recorder_id", "day", "part", "number"),
        Index(None, "day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    recorder_id: Mapped[int] = mapped_column(ForeignKey("recorders.id"))
    day: Mapped[dt.date]
    part: Mapped[PartOfDay]
    number: Mapped[int]
    checklist: Mapped[str]
    answers: Mapped[dict[str, object]]
    lots: Mapped[dict[str, object]]
    who: Mapped[str]
    checked_at: Mapped[dt.datetime]


class FaultRow(Base):
    """Something wrong with a recorder; open until an entry closes it."""

    __tablename__ = "faults"
    __table_args__ = (Index(None, "recorder_id"), Index(None, "closed_at"))

    id: Mapped[int] = mapped_column(primary_key=True)
    recorder_id: Mapped[int] = mapped_column(ForeignKey("recorders.id"))
    item: Mapped[str]
    words: Mapped[str]
    is_out_of_use: Mapped[bool]
    opened_at: Mapped[dt.datetime]
    opened_by: Mapped[str]
    closed_at: Mapped[dt.datetime | None]
    closed_by: Mapped[str]

    entries: Mapped[list[FaultEntryRow]] = relationship(
        lazy="selectin", order_by="FaultEntryRow.number"
    )


class FaultEntryRow(Base):
    """What was done about a fault; the last entry may close it."""

    __tablename__ = "fault_entries"
    __table_args__ = (UniqueConstraint("fault_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    fault_id: Mapped[int] = mapped_column(ForeignKey("faults.id"))
    number: Mapped[int]
    words: Mapped[str]
    is_out_of_use: Mapped[bool]
    closes: Mapped[bool]
    who: Mapped[str]
    at: Mapped[dt.datetime]
