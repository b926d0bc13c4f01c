"""People and the recordings that are wanted of them."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.recording import Sex
from couchside.store.tables.base import Base
from couchside.store.words import OrderStatus, Urgency


class PatientRow(Base):
    """A person on whom the department files recordings."""

    __tablename__ = "patients"

    id: Mapped[int] = mapped_column(primary_key=True)
    identifier: Mapped[str] = mapped_column(unique=True)
    family_name: Mapped[str]
    given_name: Mapped[str]
    birth_date: Mapped[dt.date | None]
    sex: Mapped[Sex]
    created_at: Mapped[dt.datetime]


class OrderRow(Base):
    """One recording that is wanted."""

    __tablename__ = "orders"
    __table_args__ = (Index(None, "day"), Index(None, "patient_id"))

    id: Mapped[int] = mapped_column(primary_key=True)
    patient_id: Mapped[int] = mapped_column(ForeignKey("patients.id"))
    accession: Mapped[str | None] = mapped_column(unique=True)
    place: Mapped[str]
    urgency: Mapped[Urgency]
    day: Mapped[dt.date]
    due_at: Mapped[dt.datetime | None]
    reason: Mapped[str]
    status: Mapped[OrderStatus]
    created_at: Mapped[dt.datetime]

    patient: Mapped[PatientRow] = relationship(lazy="joined", innerjoin=True)
