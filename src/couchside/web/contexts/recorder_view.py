"""What a recorder's own page shows."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk
from couchside.service.faults import Fault, FaultEntry
from couchside.service.readiness import RecorderHistory
from couchside.service.readiness_checks import Answer, ReadinessCheck
from couchside.service.recorders import RecorderFacts
from couchside.store.words import PartOfDay
from couchside.web.contexts.readiness_view import (
    PulseLine,
    ReadinessRow,
    describe_recorder,
    say_clock,
    say_lot,
    view_pulse,
    view_readiness,
)
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import format_date, format_moment, say


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """A check as it was made; `lines` are what was not simply done, and the electrodes."""

    heading: str
    by: str
    version: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultLine:
    """What was done about a fault."""

    words: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultView:
    """A fault with all that was done; `closed` is empty while it is open."""

    id: int
    words: str
    opened: str
    closed: str
    is_out_of_use: bool
    seen_number: int
    lines: tuple[FaultLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecorderView:
    """The whole page."""

    id: int
    facts: RecorderFacts
    described: tuple[str, ...]
    number: int
    retired: str
    row: ReadinessRow
    clock: str
    lots: tuple[str, ...]
    parts: tuple[tuple[str, str, bool], ...]
    open_faults: tuple[FaultView, ...]
    closed_faults: tuple[FaultView, ...]
    pulses: tuple[PulseLine, ...]
    checks: tuple[CheckRow, ...]


def view_recorder(desk: Desk, history: RecorderHistory) -> RecorderView:
    """A recorder as of now, and what was kept of it."""
    readiness = history.readiness
    recorder = readiness.recorder
    made = {PartOfDay.START: readiness.start, PartOfDay.END: readiness.end}
    faults = tuple(_view_fault(desk, each) for each in history.faults)
    retired = (
        f"{format_moment(recorder.retired_at, desk.zone)}: {recorder.retired_because}"
        if recorder.retired_at
        else ""
    )
    return RecorderView(
        id=recorder.id,
        facts=recorder.facts,
        described=describe_recorder(recorder),
        number=recorder.number,
        retired=retired,
        row=view_readiness(desk, readiness),
        clock=say_clock(readiness.clock),
        lots=tuple(say_lot(each) for each in readiness.lots),
        parts=tuple(
            (each.name.lower(), say(each.value), made[each] is not None) for each in PartOfDay
        ),
        open_faults=tuple(each for each in faults if not each.closed),
        closed_faults=tuple(each for each in faults if each.closed),
        pulses=tuple(view_pulse(desk, each) for each in history.pulses),
        checks=tuple(_view_check(desk, each) for each in history.checks),
    )


def _view_check(desk: Desk, check: ReadinessCheck) -> CheckRow:
    said = [
        f"{each.asked}: {translate(each.answer.value)}, {each.words}"
        for each in check.answers.values()
        if each.answer is not Answer.DONE
    ]
    return CheckRow(
        heading=f"{format_date(check.day)}, {translate(check.part.value)}",
        by=f"{check.who}, {format_moment(check.checked_at, desk.zone)}",
        version=_("version %(number)s", number=check.number) if check.number > 1 else "",
        lines=(*(said or [_("everything done")]), *(say_lot(each) for each in check.lots)),
    )


def _view_fault(desk: Desk, fault: Fault) -> FaultView:
    return FaultView(
        id=fault.id,
        words=fault.words,
        opened=f"{fault.opened_by}, {format_moment(fault.opened_at, desk.zone)}",
        closed=f"{fault.closed_by}, {format_moment(fault.closed_at, desk.zone)}"
        if fault.closed_at
        else "",
        is_out_of_use=fault.is_out_of_use,
        seen_number=fault.seen_number,
        lines=tuple(_view_entry(desk, each) for each in fault.entries),
    )


def _view_entry(desk: Desk, entry: FaultEntry) -> FaultLine:
    marks = (
        _("out of use") if entry.is_out_of_use else "",
        _("closed") if entry.closes else "",
    )
    return FaultLine(
        words=" · ".join((entry.words, *(mark for mark in marks if mark))),
        by=f"{entry.who}, {format_moment(entry.at, desk.zone)}",
    )
