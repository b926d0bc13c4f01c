"""What is typed into forms, before a use case is asked."""

from __future__ import annotations

from datetime import datetime, time

from pydantic import BaseModel

from couchside.errors import InvalidInput
from couchside.quality.model import Verdict
from couchside.recording import Patient, Sex
from couchside.service import (
    DecisionKind,
    Desk,
    NewOrder,
    OrderNotRecorded,
    RecordingDecision,
    Urgency,
)
from couchside.web.lookup import parse_day
from couchside.web.wording import join_words


class OrderFields(BaseModel):
    """A person for the round, as typed; what may be left out is empty."""

    identifier: str = ""
    family_name: str = ""
    given_name: str = ""
    birth_date: str = ""
    sex: Sex = Sex.NOT_STATED
    place: str = ""
    urgency: Urgency = Urgency.ROUTINE
    due: str = ""
    accession: str = ""
    reason: str = ""

    def to_order(self, desk: Desk) -> NewOrder:
        """The order that the form describes; raises InvalidInput where a date or time is none."""
        return NewOrder(
            patient=Patient(
                identifier=self.identifier.strip(),
                family_name=self.family_name.strip(),
                given_name=self.given_name.strip(),
                birth_date=parse_day(self.birth_date),
                sex=self.sex,
            ),
            accession=self.accession.strip(),
            place=self.place.strip(),
            urgency=self.urgency,
            due_at=_parse_due(desk, self.due),
            reason=self.reason.strip(),
        )


class DecisionFields(BaseModel):
    """A decision as it was chosen and typed; `advised` is the verdict that stood above it."""

    kind: DecisionKind
    seen_number: int
    advised: Verdict | None = None
    reason: str = ""
    reason_text: str = ""
    remark: str = ""

    def to_wish(self, recording_id: int) -> RecordingDecision:
        """What the person wants done with a recording."""
        return RecordingDecision(
            recording_id=recording_id,
            kind=self.kind,
            seen_number=self.seen_number,
            reason=join_words(self.reason, self.reason_text),
            remark=self.remark.strip(),
        )


class NotRecordedFields(BaseModel):
    """Why a person could not be recorded, as it was chosen and typed."""

    seen_number: int
    reason: str = ""
    reason_text: str = ""

    def to_wish(self, order_id: int) -> OrderNotRecorded:
        """What the person wants said of an order."""
        return OrderNotRecorded(
            order_id=order_id,
            reason=join_words(self.reason, self.reason_text),
            seen_number=self.seen_number,
        )


def _parse_due(desk: Desk, text: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.combine(desk.today(), time.fromisoformat(text))
    except ValueError as error:
        raise InvalidInput(f"{text!r} is not a time of day; write it like 14:30") from error
