"""The same person, recorded again."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from couchside.simulate.scenario import Scenario

_DAYS_IN_A_YEAR = 365.2425
_SEED_STEP = 1_000_003


def another_visit(scenario: Scenario, *, days: float) -> Scenario:
    """The same heart on another day: rate, axis, voltage and electrodes are a little different.

    Parameters
    ----------
    scenario : Scenario
        The first visit; faults, cables and settings stay, take them out with `dataclasses.replace`.
    days : float
        How much later; negative is earlier. Minutes later is another attempt.

    Returns
    -------
    Scenario
        With its own seed, its start moved and its body older.
    """
    step = int(abs(days) * 1440.0) * 2 + (days < 0)
    return replace(
        scenario,
        name=f"{scenario.name}-{days:+g}-days",
        seed=scenario.seed + _SEED_STEP * (step + 1),
        start=None if scenario.start is None else scenario.start + timedelta(days=days),
        body=replace(
            scenario.body, age_years=max(0.0, scenario.body.age_years + days / _DAYS_IN_A_YEAR)
        ),
    )
