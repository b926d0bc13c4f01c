"""The form with which a recorder is checked."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk
from couchside.service.checklists import Beside, Checklist, ChecklistItem
from couchside.service.readiness import Readiness
from couchside.service.readiness_checks import Answer, ElectrodeLot, ItemAnswer
from couchside.store.words import PartOfDay
from couchside.web.contexts.readiness_view import describe_recorder, say_clock, say_lot, view_pulse
from couchside.web.translation import gettext as _
from couchside.web.wording import format_moment, say

_SPARE_LOTS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownBeside:
    """What Couchside knows about an item; `address` is empty where there is nothing to open."""

    words: str
    address: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemField:
    """One item; `answers` are value, word and whether it stands."""

    name: str
    words: str
    source: str
    beside: tuple[KnownBeside, ...]
    answers: tuple[tuple[str, str, bool], ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckForm:
    """The whole form; `lots` are lot and date, with some lines left empty."""

    address: str
    recorder_address: str
    name: str
    facts: tuple[str, ...]
    heading: str
    part: str
    day: str
    seen_number: int
    standing: str
    notes: tuple[str, ...]
    items: tuple[ItemField, ...]
    asks_for_lots: bool
    lots: tuple[tuple[str, str], ...]


def view_check_form(
    desk: Desk, readiness: Readiness, checklist: Checklist, part: PartOfDay
) -> CheckForm:
    """The checklist of a part of the day, with today's answers where there are some."""
    standing = readiness.start if part is PartOfDay.START else readiness.end
    answers = standing.answers if standing else {}
    items = checklist.list_items(part)
    number = readiness.recorder.id
    return CheckForm(
        address=f"/recorders/{number}/check",
        recorder_address=f"/recorders/{number}",
        name=readiness.recorder.facts.name,
        facts=describe_recorder(readiness.recorder),
        heading=say(part.value),
        part=part.value,
        day=readiness.day.isoformat(),
        seen_number=standing.number if standing else 0,
        standing=f"{standing.who}, {format_moment(standing.checked_at, desk.zone)}"
        if standing
        else "",
        notes=_list_notes(checklist),
        items=tuple(_view_item(desk, readiness, each, answers.get(each.name)) for each in items),
        asks_for_lots=any(each.beside is Beside.ELECTRODES for each in items),
        lots=_list_lots(readiness.lots),
    )


def _list_notes(checklist: Checklist) -> tuple[str, ...]:
    example = _("This checklist is an example; local protocol comes first.")
    named = " · ".join(part for part in (checklist.title, checklist.owner) if part)
    return tuple(
        each for each in (checklist.problem, example if checklist.is_example else named) if each
    )


def _view_item(
    desk: Desk, readiness: Readiness, item: ChecklistItem, given: ItemAnswer | None
) -> ItemField:
    return ItemField(
        name=item.name,
        words=item.words,
        source=item.source,
        beside=_tell_beside(desk, readiness, item),
        answers=tuple(
            (each.value, say(each.value), given is not None and given.answer is each)
            for each in Answer
        ),
        said=given.words if given else "",
    )


def _tell_beside(desk: Desk, readiness: Readiness, item: ChecklistItem) -> tuple[KnownBeside, ...]:
    if item.beside is Beside.PULSE:
        return (_tell_pulse(desk, readiness),)
    if item.beside is Beside.CLOCK:
        return (KnownBeside(words=say_clock(readiness.clock)),)
    if item.beside is Beside.ELECTRODES:
        return tuple(_tell_lot(readiness, each) for each in readiness.lots)
    return ()


def _tell_pulse(desk: Desk, readiness: Readiness) -> KnownBeside:
    if readiness.pulse is None:
        return KnownBeside(words=_("No pulse of this recorder has arrived yet."))
    line = view_pulse(desk, readiness.pulse)
    is_of_today = desk.day_of(readiness.pulse.received_at) == readiness.day
    words = (
        _("Today’s pulse, %(time)s: %(result)s", time=line.when, result=line.words)
        if is_of_today
        else _("No pulse today; the last, %(time)s: %(result)s", time=line.when, result=line.words)
    )
    return KnownBeside(words=words, address=line.address)


def _tell_lot(readiness: Readiness, lot: ElectrodeLot) -> KnownBeside:
    words = say_lot(lot)
    if lot in readiness.expired:
        return KnownBeside(words=_("Expired: %(lot)s", lot=words))
    if lot in readiness.expiring:
        return KnownBeside(words=_("Expires soon: %(lot)s", lot=words))
    return KnownBeside(words=words)


def _list_lots(lots: tuple[ElectrodeLot, ...]) -> tuple[tuple[str, str], ...]:
    there = tuple((each.lot, each.expires_on.isoformat()) for each in lots)
    return there + (("", ""),) * _SPARE_LOTS
