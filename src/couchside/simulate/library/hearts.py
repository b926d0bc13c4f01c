"""Scenarios of many hearts, all of them well recorded: what a check must not take for a fault."""

from __future__ import annotations

from datetime import date

from couchside.recording import Patient, Sex
from couchside.simulate.heart.state import (
    AvBlock,
    Conduction,
    HeartState,
    Rhythm,
    Territory,
)
from couchside.simulate.library.people import person, recording_of
from couchside.simulate.scenario import Scenario

_PEOPLE = (
    person("Achterveld", "Noor", date(1949, 3, 3), Sex.FEMALE),
    person("Bellweather", "Amos", date(1952, 5, 21), Sex.MALE),
    person("Zambrano-Lea", "Rosa", date(1941, 9, 9), Sex.FEMALE),
    person("Thistlewood", "Ravi", date(1956, 1, 30), Sex.MALE),
    person("Nakatomi-Reyes", "Lucia", date(1963, 11, 17), Sex.FEMALE),
    person("Eriksholm", "Babatunde", date(1938, 7, 7), Sex.MALE),
)

_HEARTS = (
    ("flutter", "Atrial flutter", HeartState(rhythm=Rhythm.ATRIAL_FLUTTER, rate_per_min=104.0)),
    ("early-atrial-beats", "Early beats from the atria", HeartState(premature_atrial_share=0.25)),
    (
        "early-ventricular-beats",
        "Early beats from the ventricles",
        HeartState(premature_ventricular_share=0.3),
    ),
    (
        "sinus-arrhythmia",
        "The rate follows the breath",
        HeartState(sinus_arrhythmia_ms=140.0, rate_per_min=62.0),
    ),
    (
        "first-degree-block",
        "AV block, first degree",
        HeartState(av_block=AvBlock.FIRST_DEGREE, pr_ms=290.0),
    ),
    (
        "second-degree-block-type-1",
        "AV block, second degree, type 1",
        HeartState(av_block=AvBlock.SECOND_DEGREE_TYPE_1, rate_per_min=76.0, pr_ms=200.0),
    ),
    (
        "second-degree-block-type-2",
        "AV block, second degree, type 2",
        HeartState(av_block=AvBlock.SECOND_DEGREE_TYPE_2, rate_per_min=78.0),
    ),
    (
        "third-degree-block",
        "AV block, third degree",
        HeartState(av_block=AvBlock.THIRD_DEGREE, rate_per_min=82.0),
    ),
    (
        "left-bundle-branch-block",
        "Left bundle branch block",
        HeartState(conduction=Conduction.LEFT_BUNDLE_BRANCH_BLOCK),
    ),
    (
        "right-bundle-branch-block",
        "Right bundle branch block",
        HeartState(conduction=Conduction.RIGHT_BUNDLE_BRANCH_BLOCK),
    ),
    ("paced", "Paced ventricles", HeartState(rhythm=Rhythm.VENTRICULAR_PACED, rate_per_min=70.0)),
    ("high-voltage", "Left ventricular voltage", HeartState(voltage_scale=1.6, axis_deg=25.0)),
    ("low-voltage", "Low voltage", HeartState(voltage_scale=0.32)),
    ("long-qt", "Long QT", HeartState(qtc_ms=515.0, rate_per_min=66.0)),
    (
        "anterior-st",
        "ST raised over the anterior wall",
        HeartState(st_territory=Territory.ANTERIOR, st_shift_uv=380.0),
    ),
    (
        "inferior-st",
        "ST raised over the inferior wall",
        HeartState(st_territory=Territory.INFERIOR, st_shift_uv=260.0),
    ),
    (
        "widespread-st",
        "ST lowered widely",
        HeartState(st_territory=Territory.SUBENDOCARDIAL, st_shift_uv=180.0),
    ),
    ("dextrocardia", "Dextrocardia", HeartState(dextrocardia=True, axis_deg=50.0)),
    ("left-axis", "Left axis", HeartState(axis_deg=-55.0)),
    ("right-axis", "Right axis", HeartState(axis_deg=118.0)),
)

_CHILD_HEARTS = 403

_CHILDREN = (
    ("newborn", "A newborn", person("Larkspur", "Baby", date(2026, 2, 24), Sex.FEMALE)),
    ("infant", "Six months old", person("Mwangi-Stone", "Asha", date(2025, 8, 30), Sex.FEMALE)),
    ("toddler", "Two years old", person("Dovetail", "Emil", date(2024, 1, 12), Sex.MALE)),
    ("school-child", "Eight years old", person("Ngata-Wells", "Hemi", date(2017, 10, 2), Sex.MALE)),
    (
        "teenager",
        "Fifteen years old",
        person("Sandoval-Mist", "Pilar", date(2010, 12, 6), Sex.FEMALE),
    ),
)


_CHILD_STATES = {"newborn": HeartState(rate_per_min=140.0)}
"""A newborn at rest; left to chance, this one's heart would run at 190."""


def heart_scenarios() -> tuple[Scenario, ...]:
    """Rhythms, conduction, voltage, ST, axis."""
    return tuple(
        recording_of(
            _person(place),
            number=244 + place,
            heart_seed=301 + place % len(_PEOPLE),
            name=name,
            title=title,
            state=state,
        )
        for place, (name, title, state) in enumerate(_HEARTS)
    )


def child_scenarios() -> tuple[Scenario, ...]:
    """From the first week to the teens."""
    return tuple(
        recording_of(
            child,
            number=31 + place,
            heart_seed=_CHILD_HEARTS + place,
            name=name,
            title=title,
            state=_CHILD_STATES.get(name, HeartState()),
        )
        for place, (name, title, child) in enumerate(_CHILDREN)
    )


def _person(place: int) -> Patient:
    return _PEOPLE[place % len(_PEOPLE)]
