"""A recorder is checked at the start or the end of the day, item by item."""

from __future__ import annotations

import calendar
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.service.checklists import Checklist, ChecklistItem, choose_checklist
from couchside.service.desk import Desk
from couchside.service.faults import NewFault, insert_fault
from couchside.service.recorders import check_in_use
from couchside.service.text_limits import LONGEST_NAME, LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen
from couchside.store.queries.recorders import get_recorder, list_checks_on
from couchside.store.tables import ReadinessCheckRow
from couchside.store.words import PartOfDay

MOST_LOTS = 12

_PRINTED = re.compile(r"(\d{4})[-/.](\d{1,2})(?:[-/.](\d{1,2}))?", re.ASCII)
"""As a use-by date is printed on a pack, the year first; common practice, from memory."""


class Answer(StrEnum):
    """What came of looking at an item."""

    DONE = "done"
    NOT_POSSIBLE = "not possible"
    FAULT = "fault found"


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemAnswer:
    """An answer; `words` are the reason or the fault, and `asked` is the item as it was worded."""

    answer: Answer
    words: str = ""
    asked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectrodeLot:
    """Electrodes beside a recorder: their lot, and the last day on which they are good."""

    lot: str
    expires_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCheck:
    """What was found; `day` and `seen_number` are those of the page on which it was written.

    `is_out_of_use` takes the recorder out of use for the faults that are found.
    """

    part: PartOfDay
    day: date
    seen_number: int
    answers: Mapping[str, ItemAnswer]
    lots: tuple[ElectrodeLot, ...] = ()
    is_out_of_use: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadinessCheck:
    """A check that was made; `number` counts its versions from 1, and the highest stands."""

    day: date
    part: PartOfDay
    number: int
    checklist: str
    answers: Mapping[str, ItemAnswer]
    lots: tuple[ElectrodeLot, ...]
    who: str
    checked_at: datetime

    @property
    def faults(self) -> tuple[str, ...]:
        """The faults found, in words."""
        return tuple(each.words for each in self.answers.values() if each.answer is Answer.FAULT)


def write_check(desk: Desk, recorder_id: int, new: NewCheck) -> ReadinessCheck:
    """Keep what was found on a recorder today; each fault found is opened in its log.

    A check that stands is not overwritten: the new one is its next version. Raises NotFound,
    InvalidInput where an item has no answer, or one without its words, and Conflict where the
    recorder is retired, another day has begun, or somebody else checked it meanwhile.
    """
    checklist = choose_checklist(desk.data_folder)
    items = checklist.list_items(new.part)
    answers = _check_answers(items, new.answers)
    _check_lots(new.lots)
    with desk.store.writing() as session:
        recorder = get_recorder(session, recorder_id)
        check_in_use(recorder)
        _check_seen(session, desk, recorder.id, new)
        row = _make_row(desk, recorder.id, new, answers, checklist)
        session.add(row)
        session.flush()
        _write_trail(session, desk, row)
        for name, answer in answers.items():
            if answer.answer is Answer.FAULT:
                fault = NewFault(item=name, words=answer.words, is_out_of_use=new.is_out_of_use)
                insert_fault(session, desk, recorder.id, fault)
        return summarise_check(row)


def parse_expiry(text: str) -> date:
    """A date as it is printed on a pack: a month is good to its last day; raises InvalidInput."""
    printed = _PRINTED.fullmatch(text.strip())
    found = _make_date(printed[1], printed[2], printed[3]) if printed else None
    if found is None:
        raise InvalidInput(f"{text!r} is no date of expiry; write it like 2027-03 or 2027-03-31")
    return found


def summarise_check(row: ReadinessCheckRow) -> ReadinessCheck:
    """A check as the use cases hand it out."""
    return ReadinessCheck(
        day=row.day,
        part=row.part,
        number=row.number,
        checklist=row.checklist,
        answers={name: _read_answer(said) for name, said in row.answers.items()},
        lots=tuple(_read_lots(row.lots)),
        who=row.who,
        checked_at=row.checked_at,
    )


def _make_date(year: str, month: str, day: str | None) -> date | None:
    try:
        last = calendar.monthrange(int(year), int(month))[1]
        return date(int(year), int(month), int(day) if day else last)
    except ValueError:
        return None


def _check_answers(
    items: tuple[ChecklistItem, ...], answers: Mapping[str, ItemAnswer]
) -> dict[str, ItemAnswer]:
    unknown = set(answers) - {item.name for item in items}
    if unknown:
        raise InvalidInput(
            f"the checklist has no item {min(unknown)!r} any more; load the page again and repeat"
        )
    return {item.name: _check_answer(item, answers.get(item.name)) for item in items}


def _check_answer(item: ChecklistItem, answer: ItemAnswer | None) -> ItemAnswer:
    if answer is None:
        raise InvalidInput(f"“{item.words}” has no answer; answer each item")
    words = answer.words.strip()
    check_length("reason", words, LONGEST_TEXT)
    if answer.answer is Answer.NOT_POSSIBLE and not words:
        raise InvalidInput(f"“{item.words}” was not possible; write why")
    if answer.answer is Answer.FAULT and not words:
        raise InvalidInput(f"“{item.words}”: a fault was found; write which")
    kept = "" if answer.answer is Answer.DONE else words
    return ItemAnswer(answer=answer.answer, words=kept, asked=item.words)


def _check_lots(lots: tuple[ElectrodeLot, ...]) -> None:
    if len(lots) > MOST_LOTS:
        raise InvalidInput(f"{len(lots)} lots of electrodes were given; give up to {MOST_LOTS}")
    for lot in lots:
        if not lot.lot.strip():
            raise InvalidInput("a date of expiry has no lot; write the lot as printed on the pack")
        check_length("lot", lot.lot, LONGEST_NAME)


def _check_seen(session: Session, desk: Desk, recorder_id: int, new: NewCheck) -> None:
    if new.day != desk.today():
        raise Conflict("another day has begun; load the page again and repeat")
    standing = [
        row
        for row in list_checks_on(session, new.day)
        if (row.recorder_id, row.part) == (recorder_id, new.part)
    ]
    check_newest_seen(standing, new.seen_number, done="checked this recorder")


def _make_row(
    desk: Desk,
    recorder_id: int,
    new: NewCheck,
    answers: Mapping[str, ItemAnswer],
    checklist: Checklist,
) -> ReadinessCheckRow:
    return ReadinessCheckRow(
        recorder_id=recorder_id,
        day=new.day,
        part=new.part,
        number=new.seen_number + 1,
        checklist=f"{checklist.title} ({checklist.digest})",
        answers={
            name: {"answer": each.answer.value, "words": each.words, "asked": each.asked}
            for name, each in answers.items()
        },
        lots={each.lot.strip(): each.expires_on.isoformat() for each in new.lots},
        who=desk.who,
        checked_at=desk.now(),
    )


def _write_trail(session: Session, desk: Desk, row: ReadinessCheckRow) -> None:
    write_trail(
        session,
        desk,
        Deed.READINESS_CHECKED,
        subject=Subject.RECORDER,
        subject_id=row.recorder_id,
        detail={
            "day": row.day.isoformat(),
            "part": row.part.value,
            "number": row.number,
            "checklist": row.checklist,
            "answers": row.answers,
            "lots": row.lots,
        },
    )


def _read_answer(said: object) -> ItemAnswer:
    stored = said if isinstance(said, dict) else {}
    return ItemAnswer(
        answer=Answer(str(stored["answer"])),
        words=str(stored["words"]),
        asked=str(stored["asked"]),
    )


def _read_lots(stored: Mapping[str, object]) -> list[ElectrodeLot]:
    return [
        ElectrodeLot(lot=lot, expires_on=date.fromisoformat(str(day)))
        for lot, day in stored.items()
    ]
