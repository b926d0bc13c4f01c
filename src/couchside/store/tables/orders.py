"""People and the recordings that are wanted of them."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.recording import Sex
from couchside.store.tables.base import Base
from couchside.store.words import OrderStatus, Urgency


class AmendmentRow(Base):
    """A correction of who a person is: what stood and what stands since, and why.

    The highest number is the newest. `former_identifier` is the patient number that stood before;
    the person is still found by it, as long as nobody else has it.
    """

    __tablename__ = "amendments"
    __table_args__ = (UniqueConstraint("patient_id", "number"), Index(None, "former_identifier"))

    id: Mapped[int] = mapped_column(primary_key=True)
    patient_id: Mapped[int] = mapped_column(ForeignKey("patients.id"))
    number: Mapped[int]
    former_identifier: Mapped[str]
    before: Mapped[dict[str, object]]
    after: Mapped[dict[str, object]]
    reason: Mapped[str]
    who: Mapped[str]
    amended_at: Mapped[dt.datetime]


class PatientRow(Base):
    """A person on whom the department files recordings, as corrected where that was done."""

    __tablename__ = "patients"

    id: Mapped[int] = mapped_column(primary_key=True)
    identifier: Mapped[str] = mapped_column(unique=True)
    family_name: Mapped[str]
    given_name: Mapped[str]
    birth_date: Mapped[dt.date | None]
    sex: Mapped[Sex]
    created_at: Mapped[dt.datetime]

    amendments: Mapped[list[AmendmentRow]] = relationship(
        lazy="selectin", order_by=AmendmentRow.number
    )


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
