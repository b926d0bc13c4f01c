"""Named scenarios: a round for the demo, invented people at the invented Quillbrook Clinic."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from couchside.errors import InvalidInput
from couchside.recording import Device, Electrode, OrderReference, Patient, Sex
from couchside.simulate.cables import Cables, exchange
from couchside.simulate.electrodes.faults import Fault, FaultKind
from couchside.simulate.heart.state import Body, HeartState, Rhythm
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Scenario

CLINIC = "Quillbrook Clinic"
_FIRST_START = datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
_DEVICE = Device(
    manufacturer="Simulated",
    model="Simulated recorder",
    serial_number="SIM-0001",
    software_version="1",
    station_name=f"{CLINIC}, room 2",
)


def named_scenarios() -> dict[str, Scenario]:
    """Every scenario of the library by its name."""
    return {scenario.name: scenario for scenario in demo_round()}


def get_scenario(name: str) -> Scenario:
    """A scenario of the library.

    Raises
    ------
    InvalidInput
        If there is none of that name.
    """
    scenarios = named_scenarios()
    if name not in scenarios:
        raise InvalidInput(f"there is no scenario {name!r}; there are {', '.join(scenarios)}")
    return scenarios[name]


def demo_round() -> tuple[Scenario, ...]:
    """A morning's round of twelve people, good recordings and bad ones, in order."""
    return (
        _scenario(1, "good", "A good recording", _person("Fernhollow", "Ines", 1961, Sex.FEMALE)),
        _scenario(
            2,
            "loose-left-arm",
            "The left-arm electrode is loose",
            _person("Okonjo-Vale", "Chidi", 1954, Sex.MALE),
            faults=(
                Fault(kind=FaultKind.MOVEMENT, electrode=Electrode.LA, amplitude_uv=1400.0),
                Fault(kind=FaultKind.MAINS, electrode=Electrode.LA, amplitude_uv=120.0),
                Fault(kind=FaultKind.WANDER, electrode=Electrode.LA, amplitude_uv=900.0),
            ),
        ),
        _scenario(
            3,
            "mains-on-v3",
            "Mains interference from the V3 electrode",
            _person("Marlow-Iyer", "Anjali", 1979, Sex.FEMALE),
            faults=(Fault(kind=FaultKind.MAINS, electrode=Electrode.C3, amplitude_uv=350.0),),
        ),
        _scenario(
            4,
            "muscle-tremor",
            "Tense arms: muscle tremor",
            _person("Fjordby", "Elin", 1947, Sex.FEMALE),
            faults=(
                Fault(kind=FaultKind.MUSCLE, electrode=Electrode.RA, amplitude_uv=60.0),
                Fault(kind=FaultKind.MUSCLE, electrode=Electrode.LA, amplitude_uv=38.0),
            ),
        ),
        _scenario(
            5,
            "arm-cables-exchanged",
            "The arm cables are exchanged",
            _person("Tanashiro", "Haru", 1970, Sex.MALE),
            cables=exchange(Electrode.RA, Electrode.LA),
        ),
        _scenario(
            6,
            "missing-birth-date",
            "A good recording without a date of birth",
            Patient(
                identifier="Q-1006", family_name="Silvestrin", given_name="Paulo", sex=Sex.MALE
            ),
        ),
        _scenario(
            7,
            "good-fast-rate",
            "A good recording at 1000 samples per second, heart rate 94",
            _person("Brightwell-Nasser", "Layla", 1998, Sex.FEMALE),
            state=HeartState(rate_per_min=94.0),
            recorder=Recorder(rate_hz=1000.0),
        ),
        _scenario(
            8,
            "wander-v5",
            "Baseline wander from a dried electrode at V5",
            _person("Riverstone", "Aroha", 1958, Sex.FEMALE),
            faults=(Fault(kind=FaultKind.WANDER, electrode=Electrode.C5, amplitude_uv=1900.0),),
        ),
        _scenario(
            9,
            "irregular-rhythm",
            "A good recording of an irregular rhythm",
            _person("Kowalen", "Zofia", 1944, Sex.FEMALE),
            state=HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=88.0),
        ),
        _scenario(
            10,
            "lost-contact-v2",
            "The V2 electrode has come off",
            _person("Adeyemi-Holt", "Tobi", 1986, Sex.MALE),
            faults=(Fault(kind=FaultKind.CONTACT_FLAT, electrode=Electrode.C2),),
        ),
        _scenario(
            11,
            "good-slow-rate",
            "A good recording of a trained heart, rate 48",
            _person("Lindqvale", "Jonas", 1991, Sex.MALE),
            state=HeartState(rate_per_min=48.0),
        ),
        _scenario(
            12,
            "narrow-filter",
            "Taken with a 40 Hz filter",
            _person("Castellano-Brook", "Mateo", 1936, Sex.MALE),
            recorder=Recorder(low_pass_hz=40.0, high_pass_hz=0.5),
        ),
    )


def _person(family_name: str, given_name: str, birth_year: int, sex: Sex) -> Patient:
    return Patient(
        identifier="",
        family_name=family_name,
        given_name=given_name,
        birth_date=date(birth_year, birth_year % 12 + 1, birth_year % 27 + 1),
        sex=sex,
    )


def _scenario(
    number: int,
    name: str,
    title: str,
    patient: Patient,
    *,
    state: HeartState | None = None,
    faults: tuple[Fault, ...] = (),
    cables: Cables | None = None,
    recorder: Recorder | None = None,
) -> Scenario:
    start = _FIRST_START + timedelta(minutes=11 * (number - 1))
    age = patient.age_years_on(start.date())
    return Scenario(
        name=name,
        title=title,
        seed=1000 + number,
        body=Body(age_years=58.0 if age is None else age, sex=patient.sex, heart_seed=70 + number),
        state=state or HeartState(),
        patient=Patient(
            identifier=f"Q-{1000 + number}",
            family_name=patient.family_name,
            given_name=patient.given_name,
            birth_date=patient.birth_date,
            sex=patient.sex,
        ),
        start=start,
        faults=faults,
        cables=cables or {},
        recorder=recorder or Recorder(),
        device=_DEVICE,
        order=OrderReference(accession_number=f"QB-2603-{number:03d}"),
    )
