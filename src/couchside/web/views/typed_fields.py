"""What is typed into forms, before a use case is asked."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Literal

from pydantic import BaseModel

from couchside.errors import InvalidInput
from couchside.quality.model import Verdict
from couchside.recording import (
    ELECTRODES,
    Circumstances,
    Electrode,
    Patient,
    Placement,
    Position,
    Sex,
)
from couchside.service import (
    Condition,
    DecisionKind,
    Desk,
    IdentityWish,
    NewOrder,
    OrderDecision,
    PatientNotes,
    RecordingDecision,
    Telling,
    Urgency,
)
from couchside.service.pulses import PulseSaying
from couchside.web.lookup import LARGEST_ID, parse_day
from couchside.web.wording import join_words

_CLOCK_LEEWAY = timedelta(minutes=15)
"""A wall clock that runs ahead does not make a telling yesterday's."""


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


class IdentityFields(BaseModel):
    """Who a person really is, as typed."""

    seen_number: int
    identifier: str = ""
    family_name: str = ""
    given_name: str = ""
    birth_date: str = ""
    sex: Sex = Sex.NOT_STATED
    reason: str = ""

    def to_wish(self, patient_number: str) -> IdentityWish:
        """The correction; raises InvalidInput where the date is none."""
        return IdentityWish(
            patient_number=patient_number,
            patient=Patient(
                identifier=self.identifier,
                family_name=self.family_name,
                given_name=self.given_name,
                birth_date=parse_day(self.birth_date),
                sex=self.sex,
            ),
            reason=self.reason,
            seen_number=self.seen_number,
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


class OrderDecisionFields(BaseModel):
    """What is said of an order, and why, as it was chosen and typed."""

    kind: DecisionKind
    seen_number: int
    reason: str = ""
    reason_text: str = ""

    def to_wish(self, order_id: int) -> OrderDecision:
        """What the person wants said of an order."""
        return OrderDecision(
            order_id=order_id,
            kind=self.kind,
            reason=join_words(self.reason, self.reason_text),
            seen_number=self.seen_number,
        )


class TellingFields(BaseModel):
    """Who was told, or why nobody was, as it was chosen and typed."""

    told_whom: str = ""
    told_at: str = ""
    is_read_back: Literal["yes", "no", ""] = ""
    not_told_because: str = ""

    def to_telling(self, desk: Desk) -> Telling:
        """What the person says; a time later than now was yesterday's."""
        told_at = _parse_due(desk, self.told_at)
        if told_at is not None and desk.to_utc(told_at) > desk.now() + _CLOCK_LEEWAY:
            told_at -= timedelta(days=1)
        return Telling(
            told_whom=self.told_whom.strip(),
            told_at=told_at,
            is_read_back=self.is_read_back == "yes" if self.is_read_back else None,
            not_told_because=self.not_told_because.strip(),
        )


class PulseFields(BaseModel):
    """Whether a recording is of a recorder's own pulse, and of which recorder's."""

    is_pulse: Literal["yes", "no"]
    seen_number: int
    recorder: str = ""
    because: str = ""

    def to_saying(self) -> PulseSaying:
        """What the person says; no recorder means the one that the file states."""
        return PulseSaying(
            is_pulse=self.is_pulse == "yes",
            seen_number=self.seen_number,
            recorder_id=parse_id(self.recorder) if self.recorder else None,
            because=self.because.strip(),
        )


class CircumstancesFields(BaseModel):
    """How a recording was taken, as it was chosen and typed; `moved_…` names an electrode."""

    seen_number: int
    placement: Placement = Placement.NOT_STATED
    position: Position = Position.NOT_STATED
    symptoms: str = ""
    conditions: str = ""
    remark: str = ""
    moved_ra: str = ""
    moved_la: str = ""
    moved_ll: str = ""
    moved_rl: str = ""
    moved_c1: str = ""
    moved_c2: str = ""
    moved_c3: str = ""
    moved_c4: str = ""
    moved_c5: str = ""
    moved_c6: str = ""

    def to_circumstances(self) -> Circumstances:
        """What the person wrote."""
        moved = {
            each: str(getattr(self, f"moved_{each.value.lower()}")).strip() for each in ELECTRODES
        }
        return Circumstances(
            placement=self.placement,
            electrodes={each: where for each, where in moved.items() if where},
            position=self.position,
            symptoms=self.symptoms.strip(),
            conditions=self.conditions.strip(),
            remark=self.remark.strip(),
        )


class PatientNotesFields(BaseModel):
    """What to know of a person, as it was chosen and typed."""

    seen_number: int
    placement: Placement = Placement.NOT_STATED
    electrodes: list[Electrode] = []
    conditions: list[Condition] = []
    words: str = ""

    def to_notes(self) -> PatientNotes:
        """The notes, each choice once and in the usual order."""
        return PatientNotes(
            placement=self.placement,
            electrodes=tuple(each for each in ELECTRODES if each in self.electrodes),
            conditions=tuple(each for each in Condition if each in self.conditions),
            words=self.words.strip(),
        )


def parse_id(text: str) -> int:
    """A number out of a choice; one that cannot be becomes one that is not there."""
    return min(int(text), LARGEST_ID) if text.isascii() and text.isdecimal() else LARGEST_ID


def _parse_due(desk: Desk, text: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.combine(desk.today(), time.fromisoformat(text))
    except ValueError as error:
        raise InvalidInput(f"{text!r} is not a time of day; write it like 14:30") from error
