"""What people decided; each decision on the same thing bears the next number."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from couchside.store.tables.base import Base
from couchside.store.tables.recordings import AssessmentRow
from couchside.store.words import DecisionKind


class DecisionRow(Base):
    """A decision on a recording, or on an order for which there is none.

    The highest number stands. Two people who saw the same number cannot both add the next.
    """

    __tablename__ = "decisions"
    __table_args__ = (
        UniqueConstraint("recording_id", "number"),
        UniqueConstraint("order_id", "number"),
        CheckConstraint("(recording_id IS NULL) <> (order_id IS NULL)", name="one_subject"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    recording_id: Mapped[int | None] = mapped_column(ForeignKey("recordings.id"))
    order_id: Mapped[int | None] = mapped_column(ForeignKey("orders.id"))
    number: Mapped[int]
    kind: Mapped[DecisionKind]
    reason: Mapped[str]
    remark: Mapped[str]
    who: Mapped[str]
    decided_at: Mapped[dt.datetime]
    assessment_id: Mapped[int | None] = mapped_column(ForeignKey("assessments.id"))

    assessment: Mapped[AssessmentRow | None] = relationship(lazy="joined")
