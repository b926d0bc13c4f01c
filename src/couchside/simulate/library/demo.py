"""The demo's round: a morning of thirteen people, good recordings and bad ones."""

from __future__ import annotations

from datetime import date

from couchside.recording import Electrode, Sex
from couchside.simulate.cables import exchange
from couchside.simulate.electrodes import Contact, Fault, FaultKind
from couchside.simulate.heart.state import HeartState, Rhythm
from couchside.simulate.library.people import person, recording_of
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Scenario


def demo_round() -> tuple[Scenario, ...]:
    """Thirteen recordings in the order in which they were taken."""
    return (
        recording_of(
            person("Fernhollow", "Ines", date(1961, 6, 18), Sex.FEMALE),
            number=1,
            name="good",
            title="A good recording",
            heart_seed=112,
        ),
        recording_of(
            person("Okonjo-Vale", "Chidi", date(1954, 11, 11), Sex.MALE),
            number=2,
            name="loose-left-arm",
            title="The left-arm electrode is loose",
            heart_seed=102,
            contacts=(Contact(electrode=Electrode.LA, impedance_kohm=320.0),),
            faults=(
                Fault(kind=FaultKind.MOVEMENT, electrode=Electrode.LA, amplitude_uv=1400.0),
                Fault(kind=FaultKind.WANDER, electrode=Electrode.LA, amplitude_uv=900.0),
            ),
        ),
        recording_of(
            person("Marlow-Iyer", "Anjali", date(1979, 1, 9), Sex.FEMALE),
            number=3,
            name="mains-on-v3",
            title="Mains interference from the V3 electrode",
            heart_seed=103,
            faults=(Fault(kind=FaultKind.MAINS, electrode=Electrode.C3, amplitude_uv=350.0),),
        ),
        recording_of(
            person("Fjordby", "Elin", date(1947, 4, 3), Sex.FEMALE),
            number=4,
            name="muscle-tremor",
            title="Tense arms: muscle tremor",
            heart_seed=104,
            faults=(
                Fault(kind=FaultKind.MUSCLE, electrode=Electrode.RA, amplitude_uv=95.0),
                Fault(kind=FaultKind.MUSCLE, electrode=Electrode.LA, amplitude_uv=60.0),
            ),
        ),
        recording_of(
            person("Tanashiro", "Haru", date(1970, 3, 27), Sex.MALE),
            number=5,
            name="arm-cables-exchanged",
            title="The arm cables are exchanged",
            heart_seed=105,
            cables=exchange(Electrode.RA, Electrode.LA),
        ),
        recording_of(
            person("Silvestrin", "Paulo", None, Sex.MALE),
            number=6,
            name="missing-birth-date",
            title="A good recording without a date of birth",
            heart_seed=106,
        ),
        recording_of(
            person("Brightwell-Nasser", "Layla", date(1998, 7, 1), Sex.FEMALE),
            number=7,
            name="good-fast-rate",
            title="A good recording at 1000 samples per second, heart rate 94",
            heart_seed=107,
            state=HeartState(rate_per_min=94.0),
            recorder=Recorder(rate_hz=1000.0),
        ),
        recording_of(
            person("Riverstone", "Aroha", date(1958, 2, 15), Sex.FEMALE),
            number=8,
            name="wander-v5",
            title="Baseline wander from a dried electrode at V5",
            heart_seed=108,
            contacts=(Contact(electrode=Electrode.C5, impedance_kohm=110.0),),
            faults=(Fault(kind=FaultKind.WANDER, electrode=Electrode.C5, amplitude_uv=2600.0),),
        ),
        recording_of(
            person("Kowalen", "Zofia", date(1944, 1, 24), Sex.FEMALE),
            number=9,
            name="irregular-rhythm",
            title="A good recording of an irregular rhythm",
            heart_seed=109,
            state=HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=88.0),
        ),
        recording_of(
            person("Adeyemi-Holt", "Tobi", date(1986, 7, 15), Sex.MALE),
            number=10,
            name="lost-contact-v2",
            title="The V2 electrode has come off",
            heart_seed=110,
            faults=(Fault(kind=FaultKind.CONTACT_FLAT, electrode=Electrode.C2),),
        ),
        recording_of(
            person("Lindqvale", "Jonas", date(1991, 12, 20), Sex.MALE),
            number=11,
            name="good-slow-rate",
            title="A good recording of a trained heart, rate 48",
            heart_seed=111,
            state=HeartState(rate_per_min=48.0),
        ),
        recording_of(
            person("Castellano-Brook", "Mateo", date(1936, 5, 19), Sex.MALE),
            number=12,
            name="narrow-filter",
            title="Taken with a 40 Hz filter",
            heart_seed=101,
            recorder=Recorder(low_pass_hz=40.0, high_pass_hz=0.5),
        ),
        recording_of(
            person("Halloran-Quist", "Bettina", date(1966, 8, 30), Sex.FEMALE),
            number=13,
            name="left-arm-left-leg-exchanged",
            title="The left-arm and left-leg cables are exchanged",
            heart_seed=113,
            cables=exchange(Electrode.LA, Electrode.LL),
        ),
    )
