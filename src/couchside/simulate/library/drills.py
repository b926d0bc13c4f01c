"""Scenarios for training and tests: what goes wrong at electrodes, cables, sites and recorders."""

from __future__ import annotations

from datetime import date

from couchside.recording import Electrode, Placement, Sex
from couchside.simulate.cables import exchange
from couchside.simulate.electrodes import Contact, Fault, FaultKind
from couchside.simulate.library.people import person, recording_of
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Room, Scenario
from couchside.simulate.torso import ElectrodeShift

_IDRISSOU = person("Idrissou-Lake", "Amina", date(1966, 8, 30), Sex.FEMALE)
_PETTERLING = person("Petterling", "Marek", date(1973, 2, 12), Sex.MALE)
_HOSHIZORA = person("Hoshizora", "Mei", date(1982, 10, 5), Sex.FEMALE)
_QUISPE = person("Quispe-Arden", "Tomás", date(1959, 12, 1), Sex.MALE)


_ONE_FAULT = (
    ("loose-right-arm", "The right-arm electrode pulls", FaultKind.MOVEMENT, Electrode.RA, 1500.0),
    ("pops-v4", "The V4 electrode pops", FaultKind.POP, Electrode.C4, 2200.0),
    ("limb-tremor", "A right arm trembles", FaultKind.LIMB_TREMOR, Electrode.RA, 320.0),
    ("drying-v6", "The V6 electrode dries out", FaultKind.DRYING, Electrode.C6, 1600.0),
    ("floating-v1", "The V1 electrode floats", FaultKind.CONTACT_FLOATING, Electrode.C1, 5000.0),
    ("left-leg-off", "The left-leg electrode is off", FaultKind.CONTACT_FLAT, Electrode.LL, 0.0),
    (
        "right-arm-at-rail",
        "The right-arm input is at its rail",
        FaultKind.CONTACT_RAIL,
        Electrode.RA,
        0.0,
    ),
    ("wander-left-leg", "Wander from the left leg", FaultKind.WANDER, Electrode.LL, 1800.0),
    ("drift-v2", "The V2 electrode drifts", FaultKind.DRIFT, Electrode.C2, 12_000.0),
)


def electrode_drills() -> tuple[Scenario, ...]:
    """Faults of contact, movement and noise."""
    single = tuple(
        recording_of(
            _QUISPE if place % 2 else _IDRISSOU,
            number=101 + place,
            heart_seed=203 if place % 2 else 202,
            name=name,
            title=title,
            faults=(Fault(kind=kind, electrode=electrode, amplitude_uv=size_uv),),
        )
        for place, (name, title, kind, electrode, size_uv) in enumerate(_ONE_FAULT)
    )
    return (*single, *_several_electrodes())


def _several_electrodes() -> tuple[Scenario, ...]:
    return (
        recording_of(
            _HOSHIZORA,
            number=110,
            heart_seed=205,
            name="movement-for-a-moment",
            title="A cough pulls V3 to V5 for two seconds",
            faults=tuple(
                Fault(
                    kind=FaultKind.MOVEMENT,
                    electrode=electrode,
                    amplitude_uv=1300.0,
                    start_s=4.0,
                    end_s=6.0,
                )
                for electrode in (Electrode.C3, Electrode.C4, Electrode.C5)
            ),
        ),
        recording_of(
            _QUISPE,
            number=111,
            heart_seed=203,
            name="dry-right-leg",
            title="The right leg hardly touches: mains in every lead, most where skin is dry",
            contacts=(
                Contact(electrode=Electrode.RL, impedance_kohm=60_000.0),
                Contact(electrode=Electrode.RA, impedance_kohm=45.0),
                Contact(electrode=Electrode.C2, impedance_kohm=60.0),
            ),
            room=Room(wire_current_na=0.5),
        ),
        recording_of(
            _PETTERLING,
            number=112,
            heart_seed=204,
            name="mains-60-hz",
            title="Mains of just under 60 Hz at the left leg",
            faults=(Fault(kind=FaultKind.MAINS, electrode=Electrode.LL, amplitude_uv=260.0),),
            room=Room(mains_hz=59.92),
        ),
        recording_of(
            _IDRISSOU,
            number=113,
            heart_seed=202,
            name="shivering",
            title="A cold room: tremor in all limbs",
            faults=tuple(
                Fault(kind=FaultKind.MUSCLE, electrode=electrode, amplitude_uv=size)
                for electrode, size in (
                    (Electrode.RA, 45.0),
                    (Electrode.LA, 42.0),
                    (Electrode.LL, 25.0),
                    (Electrode.C5, 15.0),
                )
            ),
        ),
        recording_of(
            _PETTERLING,
            number=114,
            heart_seed=204,
            name="left-arm-for-moments",
            title="The left-arm electrode comes loose for moments",
            faults=(
                Fault(kind=FaultKind.CONTACT_LOOSE, electrode=Electrode.LA, amplitude_uv=1200.0),
            ),
        ),
        recording_of(
            _HOSHIZORA,
            number=115,
            heart_seed=205,
            name="two-electrodes",
            title="The right arm is tense, and mains comes in at V2",
            faults=(
                Fault(kind=FaultKind.MUSCLE, electrode=Electrode.RA, amplitude_uv=90.0),
                Fault(kind=FaultKind.MAINS, electrode=Electrode.C2, amplitude_uv=420.0),
            ),
        ),
        recording_of(
            _QUISPE,
            number=116,
            heart_seed=203,
            name="tremor-for-a-while",
            title="The left arm tenses from 3 to 6 s",
            faults=(
                Fault(
                    kind=FaultKind.MUSCLE,
                    electrode=Electrode.LA,
                    amplitude_uv=140.0,
                    start_s=3.0,
                    end_s=6.0,
                ),
            ),
        ),
    )


def cable_drills() -> tuple[Scenario, ...]:
    """Cables on the wrong electrodes."""
    pairs = (
        ("right-arm-left-leg-exchanged", "right-arm and left-leg", Electrode.RA, Electrode.LL),
        ("left-arm-left-leg-exchanged", "left-arm and left-leg", Electrode.LA, Electrode.LL),
        ("right-arm-right-leg-exchanged", "right-arm and right-leg", Electrode.RA, Electrode.RL),
        ("left-arm-right-leg-exchanged", "left-arm and right-leg", Electrode.LA, Electrode.RL),
        ("leg-cables-exchanged", "two leg", Electrode.LL, Electrode.RL),
        ("v1-v3-exchanged", "V1 and V3", Electrode.C1, Electrode.C3),
        ("v4-v5-exchanged", "V4 and V5", Electrode.C4, Electrode.C5),
        ("right-arm-v1-exchanged", "right-arm and V1", Electrode.RA, Electrode.C1),
        ("left-leg-v3-exchanged", "left-leg and V3", Electrode.LL, Electrode.C3),
    )
    return tuple(
        recording_of(
            _PETTERLING,
            number=121 + place,
            heart_seed=204,
            name=name,
            title=f"The {cables} cables are exchanged",
            cables=exchange(first, second),
        )
        for place, (name, cables, first, second) in enumerate(pairs)
    )


def site_drills() -> tuple[Scenario, ...]:
    """Electrodes in other places than the recording states, and stated other placements."""
    return (
        recording_of(
            _IDRISSOU,
            number=141,
            heart_seed=202,
            name="v1-v2-too-high",
            title="V1 and V2 two interspaces too high, and not said",
            shifts=(
                ElectrodeShift(electrode=Electrode.C1, down_cm=-6.0),
                ElectrodeShift(electrode=Electrode.C2, down_cm=-6.0),
            ),
        ),
        recording_of(
            _HOSHIZORA,
            number=142,
            heart_seed=205,
            name="limb-electrodes-on-torso",
            title="Limb electrodes on the torso, and not said",
            placed_as=Placement.TORSO,
        ),
        recording_of(
            _HOSHIZORA,
            number=143,
            heart_seed=205,
            name="torso-stated",
            title="Limb electrodes on the torso, as stated",
            placement=Placement.TORSO,
        ),
        recording_of(
            _QUISPE,
            number=144,
            heart_seed=203,
            name="right-sided",
            title="Right-sided chest leads, as stated",
            placement=Placement.RIGHT_SIDED,
        ),
        recording_of(
            _QUISPE,
            number=145,
            heart_seed=203,
            name="posterior",
            title="Posterior chest leads, as stated",
            placement=Placement.POSTERIOR,
        ),
        recording_of(
            _QUISPE,
            number=146,
            heart_seed=203,
            name="chest-row-too-low",
            title="V4 to V6 four centimetres too low",
            shifts=tuple(
                ElectrodeShift(electrode=electrode, down_cm=4.0)
                for electrode in (Electrode.C4, Electrode.C5, Electrode.C6)
            ),
        ),
    )


def recorder_drills() -> tuple[Scenario, ...]:
    """Recorders that are set, or built, unfit."""
    recorders = (
        ("notch-filter", "Mains filter on", Recorder(notch_hz=50.0)),
        ("narrow-high-pass", "High-pass of 0.5 Hz", Recorder(high_pass_hz=0.5)),
        ("filters-not-stated", "The filters are not stated", Recorder(states_filters=False)),
        ("coarse-steps", "Steps of 40 µV", Recorder(resolution_uv=40.0)),
        ("slow-sampling", "100 samples per second", Recorder(rate_hz=100.0, low_pass_hz=40.0)),
        ("clipped", "The range ends at 0.9 mV", Recorder(range_uv=900.0)),
        ("half-gain", "Half the gain", Recorder(gain=0.5)),
        ("dropped-samples", "0.4 s of samples lost", Recorder(dropped_spans_s=((3.2, 3.6),))),
    )
    return tuple(
        recording_of(
            _IDRISSOU, number=161 + place, heart_seed=202, name=name, title=title, recorder=recorder
        )
        for place, (name, title, recorder) in enumerate(recorders)
    )
