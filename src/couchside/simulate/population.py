"""Anybody: bodies, faults and scenarios drawn at random, for benchmarks and statistics."""

from __future__ import annotations

from dataclasses import replace

from couchside.recording import CHEST_ELECTRODES, Electrode, Sex
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes import Fault, FaultKind
from couchside.simulate.heart.state import (
    AvBlock,
    Body,
    Conduction,
    HeartState,
    Rhythm,
    Territory,
)
from couchside.simulate.scenario import Scenario

YOUNGEST_ADULT_YEARS = 18.0
OLDEST_YEARS = 90.0
RECORDED_ELECTRODES = (Electrode.RA, Electrode.LA, Electrode.LL, *CHEST_ELECTRODES)
"""The nine whose potential enters a lead."""

USUAL_SIZES_UV: dict[FaultKind, tuple[float, float]] = {
    FaultKind.WANDER: (600.0, 2500.0),
    FaultKind.DRIFT: (4_000.0, 20_000.0),
    FaultKind.DRYING: (700.0, 2500.0),
    FaultKind.MAINS: (60.0, 600.0),
    FaultKind.MUSCLE: (20.0, 120.0),
    FaultKind.LIMB_TREMOR: (100.0, 500.0),
    FaultKind.MOVEMENT: (500.0, 3000.0),
    FaultKind.POP: (600.0, 4000.0),
    FaultKind.CONTACT_LOOSE: (500.0, 5000.0),
    FaultKind.CONTACT_FLAT: (0.0, 0.0),
    FaultKind.CONTACT_FLOATING: (1000.0, 9000.0),
    FaultKind.CONTACT_RAIL: (0.0, 0.0),
}
"""From a fault that a careful eye just sees to one that spoils the lead."""


def random_adult(seed: int) -> Body:
    """A body of 18 to 90 years, its sex and heart drawn from a seed."""
    chance = Chance(seed, "adult")
    return Body(
        age_years=chance.uniform(YOUNGEST_ADULT_YEARS, OLDEST_YEARS),
        sex=Sex.FEMALE if chance.uniform(0.0, 1.0) < 0.5 else Sex.MALE,
        heart_seed=seed,
    )


def random_scenario(seed: int) -> Scenario:
    """A random adult, well recorded; take it further with `dataclasses.replace`."""
    return Scenario(
        name=f"adult-{seed}", title="A random adult", seed=seed, body=random_adult(seed)
    )


def random_patient(seed: int) -> Scenario:
    """A random adult as a hospital sees them: about half have a heart to remark on.

    The shares are made up: they are there so that a check meets everything that is no fault.
    """
    usual = random_scenario(seed)
    luck = Chance(seed, "patient").uniform(0.0, 1.0)
    for share, state in _HOSPITAL_SHARES:
        luck -= share
        if luck < 0.0:
            return replace(usual, name=f"patient-{seed}", title="A random patient", state=state)
    return replace(usual, name=f"patient-{seed}", title="A random patient")


def random_fault(seed: int, kinds: tuple[FaultKind, ...] = tuple(USUAL_SIZES_UV)) -> Fault:
    """A fault of a usual size at one of the nine electrodes, all through the recording.

    Parameters
    ----------
    seed : int
        The same seed gives the same fault.
    kinds : tuple of FaultKind
        Which to draw from, evenly; those of `USUAL_SIZES_UV`.
    """
    chance = Chance(seed, "random fault")
    kind = kinds[int(chance.uniform(0.0, len(kinds)))]
    electrode = RECORDED_ELECTRODES[int(chance.uniform(0.0, len(RECORDED_ELECTRODES)))]
    low, high = USUAL_SIZES_UV[kind]
    even = chance.uniform(0.0, 1.0)
    size = low * (high / low) ** even if low > 0.0 else 0.0
    return Fault(kind=kind, electrode=electrode, amplitude_uv=size)


def with_random_fault(
    scenario: Scenario, kinds: tuple[FaultKind, ...] = tuple(USUAL_SIZES_UV)
) -> Scenario:
    """The scenario with one more fault, drawn from its own seed."""
    return replace(scenario, faults=(*scenario.faults, random_fault(scenario.seed, kinds)))


_HOSPITAL_SHARES = (
    (0.08, HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=84.0)),
    (0.02, HeartState(rhythm=Rhythm.ATRIAL_FLUTTER, rate_per_min=96.0)),
    (0.03, HeartState(rhythm=Rhythm.VENTRICULAR_PACED, rate_per_min=65.0)),
    (0.05, HeartState(premature_ventricular_share=0.12)),
    (0.05, HeartState(premature_atrial_share=0.12)),
    (0.05, HeartState(av_block=AvBlock.FIRST_DEGREE)),
    (0.01, HeartState(av_block=AvBlock.SECOND_DEGREE_TYPE_1)),
    (0.01, HeartState(av_block=AvBlock.THIRD_DEGREE)),
    (0.05, HeartState(conduction=Conduction.RIGHT_BUNDLE_BRANCH_BLOCK)),
    (0.03, HeartState(conduction=Conduction.LEFT_BUNDLE_BRANCH_BLOCK)),
    (0.05, HeartState(voltage_scale=1.6)),
    (0.03, HeartState(voltage_scale=0.4)),
    (0.02, HeartState(qtc_ms=500.0)),
    (0.02, HeartState(st_territory=Territory.INFERIOR, st_shift_uv=220.0)),
    (0.02, HeartState(st_territory=Territory.ANTERIOR, st_shift_uv=320.0)),
    (0.02, HeartState(st_territory=Territory.SUBENDOCARDIAL, st_shift_uv=140.0)),
)
