"""The end of a round: nothing is left without an answer, or a person says why it stays open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from couchside.errors import InvalidInput
from couchside.recording import Patient
from couchside.service.desk import Desk
from couchside.service.readiness import list_readiness
from couchside.service.recorders import RecorderEntry
from couchside.service.rounds import Round, list_round
from couchside.service.summaries import State
from couchside.service.telling import list_to_tell
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.trail import list_entries_on


class OpenKind(StrEnum):
    """Why something is still open."""

    TO_TELL = "to be told now"
    WAITING = "waiting"
    TO_DECIDE = "to decide"
    TO_BE_REPEATED = "to be repeated"
    UNMATCHED = "under no order"
    NOT_READABLE = "not readable"
    FAULT = "fault open"


_KIND_OF_STATE = {
    State.WAITING: OpenKind.WAITING,
    State.TO_DECIDE: OpenKind.TO_DECIDE,
    State.TO_BE_REPEATED: OpenKind.TO_BE_REPEATED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenItem:
    """One thing without an answer; `detail` is what was to be told, a fault, or a file's name."""

    kind: OpenKind
    subject_id: int
    patient: Patient = Patient()
    recorder: RecorderEntry | None = None
    recording_id: int | None = None
    place: str = ""
    detail: str = ""

    @property
    def key(self) -> str:
        """What tells it from every other open item."""
        return f"{self.kind}: {self.subject_id}"

    @property
    def name(self) -> str:
        """Whose it is: the person's, or the recorder's; empty where nobody is known."""
        return self.recorder.facts.name if self.recorder else self.patient.full_name


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundClosing:
    """That somebody closed a round, and what stayed open with which reason."""

    who: str
    closed_at: datetime
    stayed_open: Mapping[str, str]


def list_open_items(desk: Desk, day: date) -> tuple[OpenItem, ...]:
    """What of a day's round has no answer yet, what is to be told first."""
    listed = list_round(desk, day)
    return (
        *_list_to_tell(desk),
        *_list_people(listed),
        *_list_arrivals(listed),
        *_list_faults(desk, day),
    )


def close_round(desk: Desk, day: date, reasons: Mapping[str, str]) -> RoundClosing:
    """Close a day's round; `reasons` say, by its key, why each open item stays open.

    Raises InvalidInput where an item has no reason, be it that it came open meanwhile.
    """
    stays = {each: reasons.get(each.key, "").strip() for each in list_open_items(desk, day)}
    for item, reason in stays.items():
        check_length("reason", reason, LONGEST_TEXT)
        if not reason:
            name = item.name or item.detail
            raise InvalidInput(f"{name}: {item.kind}; answer it, or write why it stays open")
    closing = RoundClosing(
        who=desk.who,
        closed_at=desk.now(),
        stayed_open={
            " · ".join(part for part in (item.name, item.detail, item.kind) if part): reason
            for item, reason in stays.items()
        },
    )
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.ROUND_CLOSED,
            subject=Subject.ROUND,
            subject_id=day.isoformat(),
            detail={"stayed_open": dict(closing.stayed_open)},
        )
    return closing


def list_closings(desk: Desk, day: date) -> tuple[RoundClosing, ...]:
    """Who closed a day's round, oldest first; a round may be closed again."""
    with desk.store.reading() as session:
        rows = list_entries_on(
            session, Subject.ROUND.value, day.isoformat(), what=Deed.ROUND_CLOSED.value
        )
        return tuple(
            RoundClosing(who=row.who, closed_at=row.at, stayed_open=_read_open(row.detail))
            for row in rows
        )


def _list_to_tell(desk: Desk) -> Iterator[OpenItem]:
    for each in list_to_tell(desk):
        yield OpenItem(
            kind=OpenKind.TO_TELL,
            subject_id=each.id,
            patient=each.patient,
            place=each.place,
            detail=each.told,
        )


def _list_people(listed: Round) -> Iterator[OpenItem]:
    for entry in listed.entries:
        if not entry.state.is_settled:
            yield OpenItem(
                kind=_KIND_OF_STATE[entry.state],
                subject_id=entry.order.id,
                patient=entry.order.patient,
                recording_id=entry.latest.recording_id if entry.latest else None,
                place=entry.order.place,
            )


def _list_arrivals(listed: Round) -> Iterator[OpenItem]:
    for recording in listed.unmatched:
        yield OpenItem(
            kind=OpenKind.UNMATCHED,
            subject_id=recording.id,
            patient=recording.patient,
            recording_id=recording.id,
            detail=recording.note,
        )
    for problem in listed.problems:
        names = ", ".join(file.name for file in problem.files)
        yield OpenItem(kind=OpenKind.NOT_READABLE, subject_id=problem.id, detail=names)


def _list_faults(desk: Desk, day: date) -> Iterator[OpenItem]:
    """Of recorders, as logged that day; what is older was answered, or given a reason, before."""
    for each in list_readiness(desk):
        for fault in each.faults:
            if desk.day_of(fault.opened_at) == day:
                yield OpenItem(
                    kind=OpenKind.FAULT,
                    subject_id=fault.id,
                    recorder=each.recorder,
                    place=each.recorder.facts.place,
                    detail=fault.words,
                )


def _read_open(detail: Mapping[str, object]) -> Mapping[str, str]:
    stayed_open = detail.get("stayed_open")
    if not isinstance(stayed_open, dict):
        return {}
    return {str(what): str(why) for what, why in stayed_open.items()}
