"""The invented clinic's two recorders, with some days behind them: one is fit, one has a fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Device
from couchside.service.checklists import choose_checklist
from couchside.service.desk import Desk
from couchside.service.faults import NewFaultEntry, add_fault_entry
from couchside.service.readiness import open_history
from couchside.service.readiness_checks import (
    Answer,
    ElectrodeLot,
    ItemAnswer,
    NewCheck,
    write_check,
)
from couchside.service.receiving import receive
from couchside.service.recorders import RecorderFacts, list_all_recorders, register_recorder
from couchside.simulate.calibration import own_pulse_recording
from couchside.simulate.recorder import Recorder
from couchside.store.words import PartOfDay, Source

_ON_THE_WAY = timedelta(seconds=9)
_SLOW = timedelta(minutes=7)
_MAKE, _MODEL = "Simulated", "Simulated recorder"
_LOT, _OTHER_LOT = "QB-2211", "QB-2304"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cart:
    """A recorder, its clock, and on which mornings, in days before today, it was looked at."""

    facts: RecorderFacts
    mornings: tuple[int, ...]
    lot: ElectrodeLot
    is_behind: timedelta = timedelta(0)
    height_uv: float = 1000.0
    faults: Mapping[str, str] = field(default_factory=dict)


def prepare_recorders(desk: Desk, *, station: str, recorder: str, before: datetime) -> None:
    """Register the two recorders, once, and let their mornings pass.

    `recorder` is the person who checks them, and the last morning's checks end at `before`.
    """
    if list_all_recorders(desk):
        return
    for cart in _list_carts(desk, station):
        ends = [before - timedelta(days=days) for days in cart.mornings]
        number = register_recorder(_at(desk, ends[0], recorder), cart.facts).id
        for end in ends[:-1]:
            _pass_morning(_at(desk, end, recorder), number, cart, {})
        _pass_morning(_at(desk, ends[-1], recorder), number, cart, cart.faults)
        _note_on_faults(_at(desk, ends[-1] + timedelta(hours=1), recorder), number)


def _list_carts(desk: Desk, station: str) -> tuple[_Cart, ...]:
    fit = _Cart(
        facts=RecorderFacts(
            name="Cart A",
            place="Outpatients",
            manufacturer=_MAKE,
            model=_MODEL,
            serial_number="SIM-0001",
            station_name=station,
        ),
        mornings=(2, 1, 0),
        lot=ElectrodeLot(lot=_LOT, expires_on=desk.today() + timedelta(days=9)),
        height_uv=1004.0,
    )
    faulty = _Cart(
        facts=RecorderFacts(
            name="Cart B",
            place="Ward 3",
            manufacturer=_MAKE,
            model=_MODEL,
            serial_number="SIM-0002",
            station_name="Ward 3",
        ),
        mornings=(3, 2, 1),
        lot=ElectrodeLot(lot=_OTHER_LOT, expires_on=desk.today() + timedelta(days=200)),
        is_behind=_SLOW,
        height_uv=990.0,
        faults={"cables": "the lead wire of V3 is broken at its plug"},
    )
    return (fit, faulty)


def _pass_morning(desk: Desk, number: int, cart: _Cart, faults: Mapping[str, str]) -> None:
    """Its pulse arrives, and somebody goes through the checklist."""
    _bring_pulse(desk, cart)
    items = choose_checklist(desk.data_folder).list_items(PartOfDay.START)
    check = NewCheck(
        part=PartOfDay.START,
        day=desk.today(),
        seen_number=0,
        answers={item.name: _answer(faults.get(item.name)) for item in items},
        lots=(cart.lot,),
        is_out_of_use=bool(faults),
    )
    write_check(desk, number, check)


def _answer(fault: str | None) -> ItemAnswer:
    if fault is None:
        return ItemAnswer(answer=Answer.DONE)
    return ItemAnswer(answer=Answer.FAULT, words=fault)


def _bring_pulse(desk: Desk, cart: _Cart) -> None:
    """A recording of its own pulse, with the start that its clock states."""
    recording = own_pulse_recording(Recorder(), height_uv=cart.height_uv)
    ended = desk.now().astimezone(desk.zone) - _ON_THE_WAY
    facts = cart.facts
    stated = replace(
        recording,
        start=ended - timedelta(seconds=recording.duration_s) - cart.is_behind,
        device=Device(
            manufacturer=facts.manufacturer,
            model=facts.model,
            serial_number=facts.serial_number,
            station_name=facts.station_name,
        ),
    )
    name = f"pulse-{facts.serial_number}-{ended:%y%m%d}.dcm"
    parcel = Parcel(files=(ArrivedFile(name=name, content=write_dicom(stated)),))
    receive(desk, parcel, source=Source.DEMO)


def _note_on_faults(desk: Desk, number: int) -> None:
    for fault in open_history(desk, number).faults:
        entry = NewFaultEntry(
            words="given to the workshop, a new lead wire is ordered",
            is_out_of_use=fault.is_out_of_use,
            closes=False,
            seen_number=fault.seen_number,
        )
        add_fault_entry(desk, fault.id, entry)


def _at(desk: Desk, moment: datetime, who: str) -> Desk:
    """The desk as it was at a moment, with a person at it."""
    return replace(desk.with_person(who), clock=lambda: moment)
