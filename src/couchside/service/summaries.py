"""What the use cases hand out: plain values, never rows of the database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from couchside.quality.model import Verdict
from couchside.recording import Device, Patient
from couchside.store.words import DecisionKind, FiledBy, OrderStatus, Source, Urgency


class State(StrEnum):
    """What has come of one order so far."""

    WAITING = "waiting"
    TO_DECIDE = "to decide"
    KEPT = "kept"
    KEPT_WITH_REMARK = "kept with remark"
    TO_BE_REPEATED = "to be repeated"
    COULD_NOT_BE_RECORDED = "could not be recorded"
    GONE = "gone"

    @property
    def is_settled(self) -> bool:
        """Whether nothing more is expected for the order."""
        return self not in {State.WAITING, State.TO_DECIDE, State.TO_BE_REPEATED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """A correction of who a person is; `number` counts those of one person from 1."""

    number: int
    before: Patient
    after: Patient
    reason: str
    who: str
    amended_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSummary:
    """One order: who, where, when, why.

    `day` is the day of the round in the clinic's own calendar; `due_at` is in UTC. `patient` is as
    corrected by the `amendments`, oldest first.
    """

    id: int
    patient: Patient
    day: date
    accession: str
    place: str
    urgency: Urgency
    due_at: datetime | None
    reason: str
    status: OrderStatus
    amendments: tuple[Amendment, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FileSummary:
    """One file of a parcel, as it lies in the vault."""

    name: str
    sha256: str
    byte_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionSummary:
    """What a person decided; `number` counts the decisions on the same thing from 1.

    `verdict_shown` is what Couchside said when the person decided, None where nothing was recorded.
    """

    number: int
    kind: DecisionKind
    reason: str
    remark: str
    who: str
    decided_at: datetime
    verdict_shown: Verdict | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingSummary:
    """One recording as the store knows it, without its samples.

    `patient` and `accession` are what the file states. `start` is as stated too: without a zone
    where the file gave none. `verdict` is that of the newest assessment, `decision` the one that
    stands. `note` says why the recording lies under no order, and is empty where it lies under one.
    """

    id: int
    sha256: str
    files: tuple[FileSummary, ...]
    format_name: str
    leads: tuple[str, ...]
    rate_hz: float
    duration_s: float
    start: datetime | None
    patient: Patient
    device: Device
    accession: str
    received_at: datetime
    received_by: str
    source: Source
    verdict: Verdict
    decision: DecisionSummary | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptSummary:
    """One link in the chain of an order's recordings; `number` counts from 1."""

    number: int
    recording_id: int
    filed_by: FiledBy
    filed_at: datetime
    received_at: datetime
    start: datetime | None
    verdict: Verdict
    decision: DecisionSummary | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalProblem:
    """Bytes that arrived and are kept, but could not be read, and the sentence that says why."""

    id: int
    sha256: str
    files: tuple[FileSummary, ...]
    sentence: str
    received_at: datetime
    source: Source
