"""What is typed into the forms about a recorder."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from fastapi import Depends, Request
from pydantic import BaseModel

from couchside.errors import InvalidInput
from couchside.service.faults import NewFault, NewFaultEntry
from couchside.service.readiness_checks import (
    Answer,
    ElectrodeLot,
    ItemAnswer,
    NewCheck,
    parse_expiry,
)
from couchside.service.recorders import RecorderFacts
from couchside.store.words import PartOfDay
from couchside.web.lookup import parse_day

_ANSWER, _WORDS = "answer-", "words-"


class RecorderFields(BaseModel):
    """What is known of a machine."""

    name: str
    place: str = ""
    manufacturer: str = ""
    model: str = ""
    serial_number: str = ""
    station_name: str = ""

    def to_facts(self) -> RecorderFacts:
        """As the register wants it."""
        return RecorderFacts(
            name=self.name,
            place=self.place,
            manufacturer=self.manufacturer,
            model=self.model,
            serial_number=self.serial_number,
            station_name=self.station_name,
        )


class FaultFields(BaseModel):
    """What is wrong."""

    words: str = ""
    is_out_of_use: bool = False

    def to_fault(self) -> NewFault:
        """As the log wants it."""
        return NewFault(words=self.words, is_out_of_use=self.is_out_of_use)


class FaultEntryFields(BaseModel):
    """What was done about a fault."""

    seen_number: int
    words: str = ""
    is_out_of_use: bool = False
    closes: bool = False

    def to_entry(self) -> NewFaultEntry:
        """As the log wants it."""
        return NewFaultEntry(
            words=self.words,
            is_out_of_use=self.is_out_of_use,
            closes=self.closes,
            seen_number=self.seen_number,
        )


class CheckFields(BaseModel):
    """The part of a check that every checklist has; lots and dates stand line by line."""

    part: PartOfDay
    day: str = ""
    seen_number: int
    lots: list[str] = []
    expiries: list[str] = []
    is_out_of_use: bool = False

    def to_check(self, typed: Mapping[str, str]) -> NewCheck:
        """The check with the answers that were typed; raises InvalidInput."""
        day = parse_day(self.day)
        if day is None:
            raise InvalidInput("the check does not say its day; load the page again and repeat")
        return NewCheck(
            part=self.part,
            day=day,
            seen_number=self.seen_number,
            answers=_read_answers(typed),
            lots=tuple(self._list_lots()),
            is_out_of_use=self.is_out_of_use,
        )

    def _list_lots(self) -> list[ElectrodeLot]:
        lines = zip(self.lots, self.expiries, strict=False)
        return [
            ElectrodeLot(lot=lot.strip(), expires_on=parse_expiry(expiry))
            for lot, expiry in lines
            if lot.strip() or expiry.strip()
        ]


async def get_typed(request: Request) -> dict[str, str]:
    """The fields of a form whose names a checklist makes."""
    return {name: value for name, value in (await request.form()).items() if isinstance(value, str)}


TypedHere = Annotated[dict[str, str], Depends(get_typed)]


def _read_answers(typed: Mapping[str, str]) -> dict[str, ItemAnswer]:
    given = {
        name.removeprefix(_ANSWER): value
        for name, value in typed.items()
        if name.startswith(_ANSWER)
    }
    known = set(Answer)
    for value in given.values():
        if value not in known:
            raise InvalidInput(f"{value!r} is no answer; load the page again and repeat")
    return {
        name: ItemAnswer(answer=Answer(value), words=typed.get(f"{_WORDS}{name}", ""))
        for name, value in given.items()
    }
