"""An invented clinic's round, filled with simulated recordings by the way real ones come."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from couchside.errors import InvalidInput
from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import OrderReference, Patient, Sex
from couchside.service.deciding import RecordingDecision, decide
from couchside.service.demo_recorders import prepare_recorders
from couchside.service.desk import Desk
from couchside.service.ordering import NewOrder, add_order
from couchside.service.receiving import Received, is_known, receive
from couchside.service.rounds import RoundEntry, list_round, open_order
from couchside.simulate import Scenario, demo_round, earlier_visits, simulate
from couchside.simulate.library.earlier import DAYS_BEFORE
from couchside.store.queries.orders import find_order_by_accession
from couchside.store.words import DecisionKind, Source, Urgency

RECORDER = "Robin Ashgrove"
"""The invented recorder who has decided on two of the recordings."""

_STATION = "Room 2"
_PLACES = ("Outpatients", "Ward 3", "Day surgery")
_REASONS = ("before an operation", "palpitations", "check after a change of medicine")
_BEFORE_NOW = timedelta(minutes=140)
_BETWEEN = timedelta(minutes=11)
_URGENT_POSITION = 2
_REPEATED = "lost-contact-v2"
_STRAY = "narrow-filter"
_DECISIONS = {
    **{scenario.name: (DecisionKind.KEEP, "") for scenario in earlier_visits()},
    "good": (DecisionKind.KEEP, ""),
    _REPEATED: (DecisionKind.RECORD_AGAIN, "the V2 electrode had come off"),
}
_STILL_WAITING = (
    Patient(
        identifier="Q-1031",
        family_name="Ostrander",
        given_name="Wilhelmina",
        birth_date=date(1951, 9, 14),
        sex=Sex.FEMALE,
    ),
    Patient(
        identifier="Q-1032",
        family_name="Abara-Finch",
        given_name="Idris",
        birth_date=date(1967, 4, 2),
        sex=Sex.MALE,
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Visit:
    """One person of the round, and what is recorded of them, first attempt first."""

    order: NewOrder
    attempts: tuple[Scenario, ...] = ()


def prepare_demo(desk: Desk) -> tuple[Received, ...]:
    """Put today's invented round on and receive its recordings; two recorders are checked.

    Gives what was received now: a second time on the same day, that is nothing.
    """
    begin = _get_begin(desk)
    *ordered, stray = _date_scenarios(desk.today(), begin)
    received = [
        each for scenario in earlier_visits() for each in _file_earlier(desk, scenario, begin)
    ]
    received += [each for visit in _plan(ordered, begin) for each in _play(desk, visit)]
    received += _record(desk, stray)
    prepare_recorders(desk, station=_STATION, recorder=RECORDER, before=begin - _BETWEEN)
    return tuple(received)


def _file_earlier(desk: Desk, scenario: Scenario, begin: datetime) -> list[Received]:
    """A recording of months ago under an order of its own day, kept then."""
    start = begin - timedelta(days=DAYS_BEFORE)
    accession = f"QB-{start:%y%m%d}-{scenario.patient.identifier.removeprefix('Q-')}"
    dated = replace(
        scenario,
        start=start,
        order=OrderReference(accession_number=accession),
        device=replace(scenario.device, station_name=_STATION),
    )
    if not _is_ordered(desk, accession):
        order = NewOrder(
            patient=scenario.patient, accession=accession, day=start.date(), due_at=start
        )
        add_order(desk, order)
    return _record(desk, dated)


def _is_ordered(desk: Desk, accession: str) -> bool:
    with desk.store.reading() as session:
        return find_order_by_accession(session, accession) is not None


def _get_begin(desk: Desk) -> datetime:
    """When today's demo round began: as first prepared, else some time ago."""
    with desk.store.reading() as session:
        first = find_order_by_accession(session, _name_order(desk.today(), 1))
        begin = first.due_at if first else None
    if begin is None:
        begin = desk.now().replace(second=0, microsecond=0) - _BEFORE_NOW
    return begin.astimezone(desk.zone)


def _date_scenarios(day: date, begin: datetime) -> list[Scenario]:
    """The library's round as of today, the one without an order last."""
    dated = [
        replace(
            scenario,
            start=begin + position * _BETWEEN,
            order=OrderReference(accession_number=_name_order(day, position + 1)),
            device=replace(scenario.device, station_name=_STATION),
        )
        for position, scenario in enumerate(demo_round())
    ]
    stray = next(scenario for scenario in dated if scenario.name == _STRAY)
    ordered = [scenario for scenario in dated if scenario is not stray]
    return [*ordered, replace(stray, order=OrderReference())]


def _name_order(day: date, number: int) -> str:
    return f"QB-{day:%y%m%d}-{number:02d}"


def _plan(scenarios: list[Scenario], begin: datetime) -> Iterator[_Visit]:
    for position, scenario in enumerate(scenarios):
        order = NewOrder(
            patient=scenario.patient,
            accession=scenario.order.accession_number,
            place=_PLACES[position % len(_PLACES)],
            urgency=Urgency.URGENT if position == _URGENT_POSITION else Urgency.ROUTINE,
            due_at=scenario.start,
            reason=_REASONS[position % len(_REASONS)],
        )
        again = (_without_faults(scenario),) if scenario.name == _REPEATED else ()
        yield _Visit(order=order, attempts=(scenario, *again))
    for position, patient in enumerate(_STILL_WAITING):
        due_at = begin + _BEFORE_NOW + (position + 1) * _BETWEEN
        yield _Visit(order=NewOrder(patient=patient, place=_PLACES[position], due_at=due_at))


def _without_faults(scenario: Scenario) -> Scenario:
    """The next attempt, some minutes later, with every electrode in its place."""
    if scenario.start is None:
        raise InvalidInput(f"the scenario {scenario.name} has no start, so nothing can follow it")
    return replace(
        scenario,
        name=f"{scenario.name}-again",
        seed=scenario.seed + 500,
        faults=(),
        start=scenario.start + timedelta(minutes=4),
    )


def _play(desk: Desk, visit: _Visit) -> list[Received]:
    entry = _find_entry(desk, visit.order)
    if entry is None:
        entry = open_order(desk, add_order(desk, visit.order).id)
    if entry.attempt_count >= len(visit.attempts):
        return []
    return [received for scenario in visit.attempts for received in _record(desk, scenario)]


def _find_entry(desk: Desk, order: NewOrder) -> RoundEntry | None:
    for entry in list_round(desk).entries:
        if entry.order.patient.identifier == order.patient.identifier:
            return entry
    return None


def _record(desk: Desk, scenario: Scenario) -> list[Received]:
    parcel = _write(scenario)
    if is_known(desk, parcel.sha256):
        return []
    received = receive(desk, parcel, source=Source.DEMO)
    _decide(desk, scenario, received)
    return [received]


def _write(scenario: Scenario) -> Parcel:
    content = write_dicom(simulate(scenario).recording)
    name = f"{scenario.order.accession_number or 'recording'}-{scenario.name}.dcm"
    return Parcel(files=(ArrivedFile(name=name, content=content),))


def _decide(desk: Desk, scenario: Scenario, received: Received) -> None:
    if scenario.name not in _DECISIONS or received.recording is None:
        return
    kind, reason = _DECISIONS[scenario.name]
    decide(
        desk.with_person(RECORDER),
        RecordingDecision(
            recording_id=received.recording.id, kind=kind, seen_number=0, reason=reason
        ),
    )
