"""What the local protocol wants told: opened at arrival, closed when somebody was told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.measures.tell_now import CALL
from couchside.recording import Patient
from couchside.service.desk import Desk
from couchside.service.look_up import find_chain_of
from couchside.service.protocols import judge_by_department
from couchside.service.readings import Reading
from couchside.service.summarise import summarise_stated_patient
from couchside.service.text_limits import LONGEST_NAME, LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, get_change_mark, write_trail
from couchside.store.queries.bedside import get_tell_now, list_open_tell_now, list_tell_now_of
from couchside.store.queries.recordings import get_recording
from couchside.store.tables import TellNowRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """That somebody was told a value, or why nobody needs to be.

    Either `told_whom` and `told_at`, with whether it was read back, or `not_told_because`.
    """

    told_whom: str = ""
    told_at: datetime | None = None
    is_read_back: bool | None = None
    not_told_because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TellNowEntry:
    """One value to be told; `telling` is None while it is open."""

    id: int
    recording_id: int
    patient: Patient
    place: str
    told: str
    opened_at: datetime
    telling: Telling | None
    closed_by: str
    closed_at: datetime | None

    @property
    def sentence(self) -> str:
        """What is said: never what it may mean."""
        return f"{CALL}: {self.told}."


def open_tell_now(session: Session, desk: Desk, recording_id: int, reading: Reading) -> None:
    """File what the protocol in force wants told of a recording that has become somebody's."""
    told = judge_by_department(desk, reading.assessment, reading.recording).tell_now
    there = {row.told for row in list_tell_now_of(session, recording_id)}
    for item in told.items if told else ():
        if item.told in there:
            continue
        session.add(
            TellNowRow(
                recording_id=recording_id,
                measure=item.measure,
                told=item.told,
                opened_at=desk.now(),
                closed_by="",
                told_whom="",
                not_told_because="",
            )
        )


def list_to_tell(desk: Desk) -> tuple[TellNowEntry, ...]:
    """Everything that is still to be told, oldest first."""
    return desk.remembered.recall(get_change_mark(desk), "to tell", partial(_list_to_tell, desk))


def _list_to_tell(desk: Desk) -> tuple[TellNowEntry, ...]:
    with desk.store.reading() as session:
        return tuple(_summarise(session, row) for row in list_open_tell_now(session))


def list_told_of(session: Session, recording_id: int) -> tuple[TellNowEntry, ...]:
    """What is and what was to be told of one recording."""
    return tuple(_summarise(session, row) for row in list_tell_now_of(session, recording_id))


def open_telling(desk: Desk, item_id: int) -> TellNowEntry:
    """One value to be told; raises NotFound."""
    with desk.store.reading() as session:
        return _summarise(session, get_tell_now(session, item_id))


def close_telling(desk: Desk, item_id: int, telling: Telling) -> TellNowEntry:
    """Keep who was told; raises NotFound, InvalidInput, and Conflict where it was closed."""
    _check(telling)
    with desk.store.writing() as session:
        row = get_tell_now(session, item_id)
        if row.closed_at is not None:
            raise Conflict(f"{row.closed_by} has closed this already; look again")
        row.told_whom, row.not_told_because = telling.told_whom, telling.not_told_because
        row.told_at = desk.to_utc(telling.told_at) if telling.told_at else None
        row.is_read_back = telling.is_read_back
        row.closed_by, row.closed_at = desk.who, desk.now()
        _write_trail(session, desk, row)
        return _summarise(session, row)


def close_all_tellings(session: Session, desk: Desk, recording_id: int, *, because: str) -> None:
    """Close what is still to be told of a recording that is nobody's."""
    for row in list_tell_now_of(session, recording_id):
        if row.closed_at is None:
            row.not_told_because = because
            row.closed_by, row.closed_at = desk.who, desk.now()
            _write_trail(session, desk, row)


def open_all_tellings_again(session: Session, recording_id: int, *, because: str) -> None:
    """Open what was closed for that reason: the recording is somebody's after all."""
    for row in list_tell_now_of(session, recording_id):
        if row.closed_at is not None and row.not_told_because == because:
            row.not_told_because = row.closed_by = ""
            row.closed_at = None


def _check(telling: Telling) -> None:
    check_length("name of whom was told", telling.told_whom, LONGEST_NAME)
    check_length("reason", telling.not_told_because, LONGEST_TEXT)
    if telling.not_told_because:
        if telling.told_whom:
            raise InvalidInput("somebody was told, and a reason says why nobody was; give one")
        return
    if not telling.told_whom:
        raise InvalidInput("it is not said who was told; write the name, or why nobody was told")
    if telling.told_at is None:
        raise InvalidInput("it is not said when it was told; write the time like 14:30")
    if telling.is_read_back is None:
        raise InvalidInput("it is not said whether it was read back; choose yes or no")


def _write_trail(session: Session, desk: Desk, row: TellNowRow) -> None:
    write_trail(
        session,
        desk,
        Deed.TOLD,
        subject=Subject.RECORDING,
        subject_id=row.recording_id,
        detail={
            "item": row.id,
            "told": row.told,
            "whom": row.told_whom,
            "at": row.told_at.isoformat() if row.told_at else None,
            "read_back": row.is_read_back,
            "not_told_because": row.not_told_because,
        },
    )


def _summarise(session: Session, row: TellNowRow) -> TellNowEntry:
    chain = find_chain_of(session, row.recording_id)
    patient = (
        chain.order.patient
        if chain
        else summarise_stated_patient(get_recording(session, row.recording_id))
    )
    return TellNowEntry(
        id=row.id,
        recording_id=row.recording_id,
        patient=patient,
        place=chain.order.place if chain else "",
        told=row.told,
        opened_at=row.opened_at,
        telling=_read_telling(row),
        closed_by=row.closed_by,
        closed_at=row.closed_at,
    )


def _read_telling(row: TellNowRow) -> Telling | None:
    if row.closed_at is None:
        return None
    return Telling(
        told_whom=row.told_whom,
        told_at=row.told_at,
        is_read_back=row.is_read_back,
        not_told_because=row.not_told_because,
    )
