"""What is done and said at the couch: who was checked, how it was recorded, what was told."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from couchside.recording import Placement, Position
from couchside.store.tables.base import Base


class IdentityCheckRow(Base):
    """That a person was asked who they are before recording, and what they were asked for."""

    __tablename__ = "identity_checks"
    __table_args__ = (Index(None, "order_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id"))
    identifiers: Mapped[list[str]]
    who: Mapped[str]
    checked_at: Mapped[dt.datetime]


class CircumstancesRow(Base):
    """How a recording was taken, in a person's words; the highest number stands."""

    __tablename__ = "circumstances"
    __table_args__ = (UniqueConstraint("recording_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"))
    number: Mapped[int]
    placement: Mapped[Placement]
    electrodes: Mapped[dict[str, object]]
    position: Mapped[Position]
    symptoms: Mapped[str]
    conditions: Mapped[str]
    remark: Mapped[str]
    who: Mapped[str]
    written_at: Mapped[dt.datetime]


class PatientNoteRow(Base):
    """What to know of a person before recording; the highest number stands."""

    __tablename__ = "patient_notes"
    __table_args__ = (UniqueConstraint("patient_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    patient_id: Mapped[int] = mapped_column(ForeignKey("patients.id"))
    number: Mapped[int]
    placement: Mapped[Placement]
    electrodes: Mapped[list[str]]
    conditions: Mapped[list[str]]
    words: Mapped[str]
    who: Mapped[str]
    written_at: Mapped[dt.datetime]


class TellNowRow(Base):
    """A value that the protocol in force at its arrival wanted told; open until it is closed."""

    __tablename__ = "tell_now_items"
    __table_args__ = (UniqueConstraint("recording_id", "told"), Index(None, "closed_at"))

    id: Mapped[int] = mapped_column(primary_key=True)
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"))
    measure: Mapped[str]
    told: Mapped[str]
    opened_at: Mapped[dt.datetime]
    closed_at: Mapped[dt.datetime | None]
    closed_by: Mapped[str]
    told_whom: Mapped[str]
    told_at: Mapped[dt.datetime | None]
    is_read_back: Mapped[bool | None]
    not_told_because: Mapped[str]
