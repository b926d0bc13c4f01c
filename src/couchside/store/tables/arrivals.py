"""What arrived, as bytes in the vault, and what could not be read of it."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import BigInteger, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.store.tables.base import Base
from couchside.store.words import Source


class ParcelRow(Base):
    """The files of one recording as they arrived together.

    The hints are what the person who brought the files added where these are silent.
    """

    __tablename__ = "parcels"

    id: Mapped[int] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(unique=True)
    source: Mapped[Source]
    received_at: Mapped[dt.datetime]
    received_by: Mapped[str]
    hinted_rate_hz: Mapped[float | None]
    hinted_microvolts_per_unit: Mapped[float | None]

    files: Mapped[list[ParcelFileRow]] = relationship(
        lazy="selectin", order_by="ParcelFileRow.position"
    )


class ParcelFileRow(Base):
    """One file of a parcel; its bytes lie in the vault under the digest."""

    __tablename__ = "parcel_files"
    __table_args__ = (UniqueConstraint("parcel_id", "name"),)

    parcel_id: Mapped[int] = mapped_column(ForeignKey("parcels.id"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str]
    sha256: Mapped[str] = mapped_column(index=True)
    byte_count: Mapped[int] = mapped_column(BigInteger)


class ArrivalProblemRow(Base):
    """Why a parcel could not be read; settled by a person, or by a version that can read it."""

    __tablename__ = "arrival_problems"

    id: Mapped[int] = mapped_column(primary_key=True)
    parcel_id: Mapped[int] = mapped_column(ForeignKey("parcels.id"), unique=True)
    sentence: Mapped[str]
    code_version: Mapped[str]
    settled_at: Mapped[dt.datetime | None]
    settled_by: Mapped[str | None]

    parcel: Mapped[ParcelRow] = relationship(lazy="joined", innerjoin=True)
