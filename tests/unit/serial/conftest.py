"""One simulated person twice, and another one."""

from __future__ import annotations

import pytest

from couchside.quality import check
from couchside.recording import Recording
from couchside.serial import Examined
from couchside.simulate import Scenario, another_visit, random_scenario, simulate

FIRST = random_scenario(5)


def examine(recording: Recording) -> Examined:
    return Examined(recording=recording, assessment=check(recording))


def examine_scenario(scenario: Scenario) -> Examined:
    return examine(simulate(scenario).recording)


@pytest.fixture(scope="session")
def earlier() -> Examined:
    return examine_scenario(FIRST)


@pytest.fixture(scope="session")
def later() -> Examined:
    return examine_scenario(another_visit(FIRST, days=200.0))


@pytest.fixture(scope="session")
def other() -> Examined:
    """Somebody else, whose beats run through time another way."""
    return examine_scenario(random_scenario(20))
