"""Simulated people on two days: exchanges, displaced electrodes, another rhythm, another heart."""

from __future__ import annotations

from dataclasses import replace

from benchmarks.quality.misplacement import DISPLACED, PLACINGS
from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person
from couchside.quality import FindingKind, check
from couchside.recording import CHEST_ELECTRODES, Electrode
from couchside.serial import ComparedAssessment, Examined, UnlikeKind
from couchside.serial.check import check_against
from couchside.simulate import (
    ElectrodeShift,
    HeartState,
    Rhythm,
    Scenario,
    another_visit,
    exchange,
    random_patient,
    simulate,
)

FIRST_SEED, PEOPLE = 9100, 40
"""Seeds that nothing else uses; nothing was chosen on them."""

_SHIFTED_DOWN = tuple(ElectrodeShift(electrode=each, down_cm=3.0) for each in CHEST_ELECTRODES)
_HIGH = tuple(ElectrodeShift(electrode=each, down_cm=-3.0) for each in (Electrode.C1, Electrode.C2))


def measure_simulated(_people: list[Person]) -> list[Table]:
    """What is told of the second visit of each simulated person."""
    counts: dict[str, list[ComparedAssessment]] = {}
    for seed in range(FIRST_SEED, FIRST_SEED + PEOPLE):
        first = random_patient(seed)
        old = _examine(first)
        for name, second in _second_visits(first).items():
            counts.setdefault(name, []).append(check_against(_examine(second), [old]))
    return [
        Table(
            title="Second visits of simulated people",
            about=(
                f"{PEOPLE} people drawn as a hospital sees them, recorded twice 200 days apart; "
                "nothing was chosen on them. Another person is the next one of the row. Simulated "
                "hearts share one course through time more than real ones, so that strangers are "
                "told less often here than among recordings of real people."
            ),
            columns=(
                "second visit",
                "prompt for identity",
                "exchange told",
                "electrodes said to sit elsewhere",
                "not like for like: electrodes",
            ),
            rows=tuple(
                (
                    name,
                    rate(sum(_shows(each, FindingKind.UNLIKE_EARLIER) for each in all_), len(all_)),
                    rate(sum(_exchanged(each) for each in all_), len(all_)),
                    rate(sum(_shows(each, FindingKind.MISPLACED) for each in all_), len(all_)),
                    rate(sum(_moved(each) for each in all_), len(all_)),
                )
                for name, all_ in counts.items()
            ),
        )
    ]


def _second_visits(first: Scenario) -> dict[str, Scenario]:
    second = another_visit(first, days=200.0)
    fibrillating = HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=105.0)
    return {
        "as it should be": second,
        "LA–LL exchanged": replace(second, cables=exchange(Electrode.LA, Electrode.LL)),
        "RA–LA exchanged": replace(second, cables=exchange(Electrode.RA, Electrode.LA)),
        "in atrial fibrillation": replace(second, state=fibrillating),
        "all chest electrodes 3 cm lower": replace(second, shifts=_SHIFTED_DOWN),
        "V1 and V2 an interspace higher": replace(second, shifts=_HIGH),
        **{
            f"now {displacement.value}": PLACINGS[name].take(second)
            for displacement, name in DISPLACED.items()
        },
        "another person": another_visit(random_patient(first.seed + 1), days=200.0),
    }


def _examine(scenario: Scenario) -> Examined:
    recording = simulate(scenario).recording
    return Examined(recording=recording, assessment=check(recording))


def _shows(assessment: ComparedAssessment, kind: FindingKind) -> bool:
    return any(finding.kind is kind for finding in assessment.findings)


def _exchanged(assessment: ComparedAssessment) -> bool:
    return any(finding.kind is FindingKind.CABLES_EXCHANGED for finding in assessment.findings)


def _moved(assessment: ComparedAssessment) -> bool:
    comparison = assessment.comparison
    return comparison is not None and any(
        each.kind is UnlikeKind.ELECTRODES for each in comparison.unlike
    )
