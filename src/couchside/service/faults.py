"""The fault log of a recorder: what was wrong, what was done about it, and who closed it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.service.desk import Desk
from couchside.service.recorders import check_in_use
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen
from couchside.store.queries.recorders import get_fault, get_recorder, list_open_faults
from couchside.store.tables import FaultEntryRow, FaultRow


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFault:
    """What is wrong; `item` is the checklist's, empty where it was not found by a check."""

    words: str
    is_out_of_use: bool = False
    item: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFaultEntry:
    """What was done; `seen_number` is that of the last entry that the person saw, 0 for none."""

    words: str
    is_out_of_use: bool
    closes: bool
    seen_number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultEntry:
    """What was done about a fault; `number` counts from 1."""

    number: int
    words: str
    is_out_of_use: bool
    closes: bool
    who: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something wrong with a recorder, and what was done about it, in order."""

    id: int
    recorder_id: int
    item: str
    words: str
    is_out_of_use: bool
    opened_at: datetime
    opened_by: str
    closed_at: datetime | None
    closed_by: str
    entries: tuple[FaultEntry, ...]

    @property
    def is_open(self) -> bool:
        """Whether nobody has closed it."""
        return self.closed_at is None

    @property
    def seen_number(self) -> int:
        """What `add_fault_entry` wants."""
        return self.entries[-1].number if self.entries else 0


def open_fault(desk: Desk, recorder_id: int, new: NewFault) -> Fault:
    """Log that something is wrong with a recorder; raises NotFound, InvalidInput and Conflict."""
    with desk.store.writing() as session:
        recorder = get_recorder(session, recorder_id)
        check_in_use(recorder)
        return summarise_fault(insert_fault(session, desk, recorder.id, new))


def add_fault_entry(desk: Desk, fault_id: int, new: NewFaultEntry) -> Fault:
    """Log what was done about a fault, and close it if that was all.

    Raises NotFound, InvalidInput where nothing is said, and Conflict where somebody else added to
    the fault meanwhile or has closed it.
    """
    words = _check_words(new.words, "what was done is not said; write it in a few words")
    with desk.store.writing() as session:
        row = get_fault(session, fault_id)
        _check_open_and_seen(row, new.seen_number)
        entry = _append(session, desk, row, replace(new, words=words))
        if new.closes:
            row.closed_at, row.closed_by = desk.now(), desk.who
        row.is_out_of_use = new.is_out_of_use and not new.closes
        _note(session, desk, Deed.FAULT_CLOSED if new.closes else Deed.FAULT_NOTED, row, entry)
        return summarise_fault(row)


def insert_fault(session: Session, desk: Desk, recorder_id: int, new: NewFault) -> FaultRow:
    """Log a fault within a transaction.

    Where a fault of the same item is open, what is found is added to that one.
    """
    words = _check_words(new.words, "what is wrong is not said; write it in a few words")
    known = _find_open_of_item(session, recorder_id, new.item)
    if known is not None:
        return _find_again(session, desk, known, words, is_out_of_use=new.is_out_of_use)
    row = FaultRow(
        recorder_id=recorder_id,
        item=new.item,
        words=words,
        is_out_of_use=new.is_out_of_use,
        opened_at=desk.now(),
        opened_by=desk.who,
        closed_at=None,
        closed_by="",
        entries=[],
    )
    session.add(row)
    session.flush()
    _note(session, desk, Deed.FAULT_OPENED, row, None)
    return row


def summarise_fault(row: FaultRow) -> Fault:
    """A fault as the use cases hand it out."""
    return Fault(
        id=row.id,
        recorder_id=row.recorder_id,
        item=row.item,
        words=row.words,
        is_out_of_use=row.is_out_of_use,
        opened_at=row.opened_at,
        opened_by=row.opened_by,
        closed_at=row.closed_at,
        closed_by=row.closed_by,
        entries=tuple(
            FaultEntry(
                number=each.number,
                words=each.words,
                is_out_of_use=each.is_out_of_use,
                closes=each.closes,
                who=each.who,
                at=each.at,
            )
            for each in row.entries
        ),
    )


def _find_open_of_item(session: Session, recorder_id: int, item: str) -> FaultRow | None:
    for row in list_open_faults(session) if item else ():
        if (row.recorder_id, row.item) == (recorder_id, item):
            return row
    return None


def _find_again(
    session: Session, desk: Desk, row: FaultRow, words: str, *, is_out_of_use: bool
) -> FaultRow:
    said = {row.words, *(each.words for each in row.entries)}
    stays_out = is_out_of_use or row.is_out_of_use
    if words in said and stays_out == row.is_out_of_use:
        return row
    number = row.entries[-1].number if row.entries else 0
    entry = _append(
        session,
        desk,
        row,
        NewFaultEntry(words=words, is_out_of_use=stays_out, closes=False, seen_number=number),
    )
    row.is_out_of_use = stays_out
    _note(session, desk, Deed.FAULT_NOTED, row, entry)
    return row


def _append(session: Session, desk: Desk, row: FaultRow, new: NewFaultEntry) -> FaultEntryRow:
    entry = FaultEntryRow(
        fault_id=row.id,
        number=new.seen_number + 1,
        words=new.words,
        is_out_of_use=new.is_out_of_use and not new.closes,
        closes=new.closes,
        who=desk.who,
        at=desk.now(),
    )
    row.entries.append(entry)
    session.flush()
    return entry


def _check_words(words: str, if_missing: str) -> str:
    words = words.strip()
    check_length("text", words, LONGEST_TEXT)
    if not words:
        raise InvalidInput(if_missing)
    return words


def _check_open_and_seen(row: FaultRow, seen_number: int) -> None:
    if row.closed_at is not None:
        raise Conflict(f"{row.closed_by} has closed this fault already; look again")
    check_newest_seen(row.entries, seen_number, done="added to this fault")


def _note(
    session: Session, desk: Desk, deed: Deed, row: FaultRow, entry: FaultEntryRow | None
) -> None:
    write_trail(
        session,
        desk,
        deed,
        subject=Subject.RECORDER,
        subject_id=row.recorder_id,
        detail={
            "fault": row.id,
            "item": row.item,
            "number": entry.number if entry else 0,
            "words": entry.words if entry else row.words,
            "is_out_of_use": row.is_out_of_use,
        },
    )
