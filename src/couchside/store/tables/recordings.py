"""Recordings, what Couchside says of them, and the chains that they form."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.quality.model import Verdict
from couchside.recording import Sex
from couchside.store.tables.arrivals import ParcelRow
from couchside.store.tables.base import Base
from couchside.store.words import FiledBy


class RecordingRow(Base):
    """A parcel that could be read; patient, order and start are as the file states them.

    `content_sha256` is of the files that were read, out of whatever they came wrapped in.
    """

    __tablename__ = "recordings"

    id: Mapped[int] = mapped_column(primary_key=True)
    parcel_id: Mapped[int] = mapped_column(ForeignKey("parcels.id"), unique=True)
    content_sha256: Mapped[str] = mapped_column(unique=True)
    format_name: Mapped[str]
    leads: Mapped[list[str]]
    rate_hz: Mapped[float]
    sample_count: Mapped[int]
    start_as_stated: Mapped[str]
    started_at: Mapped[dt.datetime | None]
    patient_identifier: Mapped[str] = mapped_column(index=True)
    family_name: Mapped[str]
    given_name: Mapped[str]
    birth_date: Mapped[dt.date | None]
    age_years: Mapped[float | None]
    sex: Mapped[Sex]
    accession: Mapped[str]
    manufacturer: Mapped[str]
    model: Mapped[str]
    serial_number: Mapped[str] = mapped_column(index=True)
    software_version: Mapped[str]
    station_name: Mapped[str] = mapped_column(index=True)
    unmatched_because: Mapped[str]

    parcel: Mapped[ParcelRow] = relationship(lazy="joined", innerjoin=True)


class RepeatRow(Base):
    """A parcel that brought a recording again in another wrapping, such as a zip file."""

    __tablename__ = "repeats"

    parcel_id: Mapped[int] = mapped_column(
        ForeignKey("parcels.id"), primary_key=True, autoincrement=False
    )
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"))


class AssessmentRow(Base):
    """What one version of the code says of a recording."""

    __tablename__ = "assessments"
    __table_args__ = (UniqueConstraint("recording_id", "code_version"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"))
    code_version: Mapped[str]
    verdict: Mapped[Verdict]
    document: Mapped[dict[str, object]] = mapped_column(deferred=True)
    made_at: Mapped[dt.datetime]


class AttemptRow(Base):
    """A link in an order's chain; a recording lies under one order at most."""

    __tablename__ = "attempts"
    __table_args__ = (UniqueConstraint("order_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id"))
    number: Mapped[int]
    recording_id: Mapped[int] = mapped_column(ForeignKey("recordings.id"), unique=True)
    filed_by: Mapped[FiledBy]
    filed_at: Mapped[dt.datetime]
    filed_by_person: Mapped[str]

    recording: Mapped[RecordingRow] = relationship(lazy="joined", innerjoin=True)
