"""Which recorder is fit for the next patient: its checks, pulse, clock, electrodes and faults."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from functools import partial

from sqlalchemy.orm import Session

from couchside.service.checklists import Beside, choose_checklist
from couchside.service.clocks import MOST_ARRIVALS, ClockReading, read_clock
from couchside.service.desk import Desk
from couchside.service.faults import Fault, summarise_fault
from couchside.service.owned_files import stamp_owned_files
from couchside.service.pulses import Pulse, summarise_pulse
from couchside.service.readiness_checks import ElectrodeLot, ReadinessCheck, summarise_check
from couchside.service.recorders import RecorderEntry, summarise_recorder
from couchside.service.trail import get_change_mark
from couchside.store.queries.pulses import list_pulses
from couchside.store.queries.recorders import (
    find_last_closed,
    get_recorder,
    list_checks_of,
    list_checks_on,
    list_faults_of,
    list_newest_times,
    list_open_faults,
    list_recorders,
)
from couchside.store.tables import FaultRow, PulseRow, ReadinessCheckRow, RecorderRow
from couchside.store.words import PartOfDay

CLOCK_LOOK_BACK = timedelta(days=7)
EXPIRES_SOON = timedelta(days=14)
"""Time to get others; common practice, from memory."""

MOST_SHOWN = 30
MOST_LOOKED_THROUGH = 8
MOST_UNKNOWN = 20


class ReadinessState(StrEnum):
    """What is first to be said of a recorder."""

    OUT_OF_USE = "out of use"
    FAULT = "fault open"
    PULSE = "pulse does not pass"
    NOT_CHECKED = "not checked today"
    CHECKED = "checked today"


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseArrival:
    """A recording of a recorder's pulse, and when it came."""

    recording_id: int
    pulse: Pulse
    received_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """A recorder as of now.

    `start` and `end` are today's checks, `lots` the electrodes of its last check, `pulse` its
    newest one, `faults` those that are open.
    """

    recorder: RecorderEntry
    day: date
    start: ReadinessCheck | None
    end: ReadinessCheck | None
    lots: tuple[ElectrodeLot, ...]
    pulse: PulseArrival | None
    clock: ClockReading
    faults: tuple[Fault, ...]

    @property
    def state(self) -> ReadinessState:
        """What is first to be said."""
        if any(fault.is_out_of_use for fault in self.faults):
            return ReadinessState.OUT_OF_USE
        if self.faults:
            return ReadinessState.FAULT
        if self.pulse is not None and not self.pulse.pulse.has_passed:
            return ReadinessState.PULSE
        return ReadinessState.CHECKED if self.start else ReadinessState.NOT_CHECKED

    @property
    def expired(self) -> tuple[ElectrodeLot, ...]:
        """Electrodes that are no longer good today."""
        return tuple(lot for lot in self.lots if lot.expires_on < self.day)

    @property
    def expiring(self) -> tuple[ElectrodeLot, ...]:
        """Electrodes that are good for a few more days only."""
        until = self.day + EXPIRES_SOON
        return tuple(lot for lot in self.lots if self.day <= lot.expires_on <= until)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecorderHistory:
    """A recorder with what was kept of it, the newest first; checks in all their versions."""

    readiness: Readiness
    checks: tuple[ReadinessCheck, ...]
    pulses: tuple[PulseArrival, ...]
    faults: tuple[Fault, ...]


def list_readiness(desk: Desk) -> tuple[Readiness, ...]:
    """The recorders in use as of now, by name."""
    key = ("readiness", desk.today(), stamp_owned_files(desk.data_folder))
    return desk.remembered.recall(get_change_mark(desk), key, partial(_list_readiness, desk))


def _list_readiness(desk: Desk) -> tuple[Readiness, ...]:
    with desk.store.reading() as session:
        rows = [row for row in list_recorders(session) if row.retired_at is None]
        if not rows:
            return ()
        all_of_them = _look_up_all(session, desk)
        return tuple(_read(session, desk, row, all_of_them) for row in rows)


def open_history(desk: Desk, recorder_id: int) -> RecorderHistory:
    """One recorder with what was kept of it; raises NotFound."""
    with desk.store.reading() as session:
        row = get_recorder(session, recorder_id)
        all_of_them = _look_up_all(session, desk)
        faults = list_faults_of(session, row.id, at_most=MOST_SHOWN)
        still_open = [fault for fault in all_of_them.open_faults if fault.recorder_id == row.id]
        shown = [*still_open, *(fault for fault in faults if fault.closed_at is not None)]
        return RecorderHistory(
            readiness=_read(session, desk, row, all_of_them),
            checks=tuple(
                summarise_check(each)
                for each in list_checks_of(session, row.id, at_most=MOST_SHOWN)
            ),
            pulses=_summarise_pulses(session, list_pulses(session, row.id, at_most=MOST_SHOWN)),
            faults=tuple(summarise_fault(each) for each in shown),
        )


def list_unknown_pulses(desk: Desk) -> tuple[PulseArrival, ...]:
    """Pulses of which nobody knows the recorder, the newest first."""
    with desk.store.reading() as session:
        return _summarise_pulses(session, list_pulses(session, None, at_most=MOST_UNKNOWN))


@dataclass(frozen=True, slots=True, kw_only=True)
class _OfAll:
    """What is looked up once for all recorders."""

    open_faults: Sequence[FaultRow]
    checks_today: Sequence[ReadinessCheckRow]
    clocks_set: Mapping[int, datetime]
    electrode_items: frozenset[str]


def _look_up_all(session: Session, desk: Desk) -> _OfAll:
    items = choose_checklist(desk.data_folder).items
    clock_items = [item.name for item in items if item.beside is Beside.CLOCK]
    return _OfAll(
        open_faults=list_open_faults(session),
        checks_today=list_checks_on(session, desk.today()),
        clocks_set=find_last_closed(session, clock_items),
        electrode_items=frozenset(item.name for item in items if item.beside is Beside.ELECTRODES),
    )


def _read(session: Session, desk: Desk, row: RecorderRow, found: _OfAll) -> Readiness:
    today = {
        each.part: summarise_check(each)
        for each in found.checks_today
        if each.recorder_id == row.id
    }
    newest = _summarise_pulses(session, list_pulses(session, row.id, at_most=1))
    faults = [each for each in found.open_faults if each.recorder_id == row.id]
    return Readiness(
        recorder=summarise_recorder(row),
        day=desk.today(),
        start=today.get(PartOfDay.START),
        end=today.get(PartOfDay.END),
        lots=_find_lots(session, row, found.electrode_items),
        pulse=newest[0] if newest else None,
        clock=_read_clock(session, desk, row, found.clocks_set.get(row.id)),
        faults=tuple(summarise_fault(each) for each in faults),
    )


def _find_lots(
    session: Session, row: RecorderRow, looked_at: frozenset[str]
) -> tuple[ElectrodeLot, ...]:
    """The electrodes as they were when somebody last looked at them."""
    for each in list_checks_of(session, row.id, at_most=MOST_LOOKED_THROUGH):
        if looked_at & set(each.answers):
            return summarise_check(each).lots
    return ()


def _read_clock(
    session: Session, desk: Desk, row: RecorderRow, clock_set: datetime | None
) -> ClockReading:
    """Out of its newest arrivals; those before a fault of its clock was closed say nothing now."""
    since = desk.now() - CLOCK_LOOK_BACK
    if clock_set is not None:
        since = max(since, clock_set)
    times = list_newest_times(session, row, since=since, at_most=MOST_ARRIVALS)
    return read_clock(
        [(arrived - began).total_seconds() - length_s for arrived, began, length_s in times]
    )


def _summarise_pulses(
    session: Session, found: Sequence[tuple[PulseRow, datetime]]
) -> tuple[PulseArrival, ...]:
    return tuple(
        PulseArrival(
            recording_id=pulse.recording_id,
            pulse=summarise_pulse(session, pulse),
            received_at=received_at,
        )
        for pulse, received_at in found
    )
