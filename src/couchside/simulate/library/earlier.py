"""What was recorded of some of the demo round's people some months before."""

from __future__ import annotations

from dataclasses import replace

from couchside.simulate.cables import CORRECT
from couchside.simulate.heart.state import HeartState
from couchside.simulate.library.demo import demo_round
from couchside.simulate.scenario import Scenario
from couchside.simulate.visits import another_visit

DAYS_BEFORE = 203.0
_SAME_HEART = ("good", "left-arm-left-leg-exchanged")
_OTHER_HEART = "good-fast-rate"
_OTHER_HEART_SEED = 20
"""Somebody else's heart, filed under this person by mistake."""


def earlier_visits() -> tuple[Scenario, ...]:
    """Three recordings, each named after the one of today: two of the same heart, one of another.

    The person whose arm and leg cables are exchanged today had them right then.
    """
    today = {scenario.name: scenario for scenario in demo_round()}
    other = _before(today[_OTHER_HEART])
    return (
        *(_before(today[name]) for name in _SAME_HEART),
        replace(
            other,
            body=replace(other.body, heart_seed=_OTHER_HEART_SEED),
            state=HeartState(),
        ),
    )


def _before(scenario: Scenario) -> Scenario:
    earlier = another_visit(scenario, days=-DAYS_BEFORE)
    return replace(
        earlier, name=f"{scenario.name}-earlier", title="Some months before", cables=CORRECT
    )
