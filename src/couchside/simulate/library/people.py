"""Invented people of the invented Quillbrook Clinic, and what their recordings have in common."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from couchside.recording import Device, OrderReference, Patient, Placement, Sex
from couchside.simulate.cables import CORRECT, Cables
from couchside.simulate.electrodes import Contact, Fault
from couchside.simulate.heart.state import Body, HeartState
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Room, Scenario
from couchside.simulate.torso import ElectrodeShift

_FIRST_START = datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
_BETWEEN = timedelta(minutes=11)
_DAY_LENGTH = 40
_AGE_IF_UNKNOWN = 58.0
_DEVICE = Device(
    manufacturer="Simulated",
    model="Simulated recorder",
    serial_number="SIM-0001",
    software_version="1",
    station_name="Room 2",
)


def person(family_name: str, given_name: str, birth_date: date | None, sex: Sex) -> Patient:
    """An invented person; the number comes with the scenario."""
    return Patient(family_name=family_name, given_name=given_name, birth_date=birth_date, sex=sex)


def recording_of(
    patient: Patient,
    *,
    number: int,
    name: str,
    title: str,
    heart_seed: int | None = None,
    state: HeartState | None = None,
    placement: Placement = Placement.STANDARD,
    placed_as: Placement | None = None,
    shifts: tuple[ElectrodeShift, ...] = (),
    contacts: tuple[Contact, ...] = (),
    faults: tuple[Fault, ...] = (),
    cables: Cables = CORRECT,
    recorder: Recorder | None = None,
    room: Room | None = None,
) -> Scenario:
    """A recording of one of these people, the `number`-th in the order of recording."""
    day, place = divmod(number - 1, _DAY_LENGTH)
    start = _FIRST_START + timedelta(days=day) + place * _BETWEEN
    stated_age = patient.age_years_on(start.date())
    return Scenario(
        name=name,
        title=title,
        seed=1000 + number,
        body=Body(
            age_years=_AGE_IF_UNKNOWN if stated_age is None else round(stated_age, 3),
            sex=patient.sex,
            heart_seed=number if heart_seed is None else heart_seed,
        ),
        state=state or HeartState(),
        patient=Patient(
            identifier=f"Q-{1000 + number}",
            family_name=patient.family_name,
            given_name=patient.given_name,
            birth_date=patient.birth_date,
            sex=patient.sex,
        ),
        start=start,
        placement=placement,
        placed_as=placed_as,
        shifts=shifts,
        contacts=contacts,
        faults=faults,
        cables=cables,
        recorder=recorder or Recorder(),
        room=room or Room(),
        device=_DEVICE,
        order=OrderReference(accession_number=f"QB-26{start:%m%d}-{place + 1:02d}"),
    )
