"""Every scenario by its name."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType

from couchside.errors import InvalidInput
from couchside.simulate.library.demo import demo_round
from couchside.simulate.library.drills import (
    cable_drills,
    electrode_drills,
    recorder_drills,
    site_drills,
)
from couchside.simulate.library.hearts import child_scenarios, heart_scenarios
from couchside.simulate.scenario import Scenario


@cache
def named_scenarios() -> Mapping[str, Scenario]:
    """Every scenario of the library by its name, the demo's round first."""
    groups = (
        demo_round(),
        electrode_drills(),
        cable_drills(),
        site_drills(),
        recorder_drills(),
        heart_scenarios(),
        child_scenarios(),
    )
    return MappingProxyType({scenario.name: scenario for group in groups for scenario in group})


def get_scenario(name: str) -> Scenario:
    """A scenario of the library.

    Raises
    ------
    InvalidInput
        If there is none of that name.
    """
    scenarios = named_scenarios()
    if name not in scenarios:
        near = get_close_matches(name, scenarios, cutoff=0.4) or list(scenarios)[:3]
        raise InvalidInput(
            f"there is no scenario {name!r} among the {len(scenarios)} of the library; "
            f"there is {', '.join(near)}"
        )
    return scenarios[name]
