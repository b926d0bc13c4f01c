"""A heart, a torso, ten electrodes, a recorder, and what goes wrong at an electrode."""

from couchside.simulate.cables import exchange
from couchside.simulate.electrodes import Fault, FaultKind
from couchside.simulate.heart.rhythm import BeatKind
from couchside.simulate.heart.state import (
    AvBlock,
    Body,
    Conduction,
    HeartState,
    Rhythm,
    Territory,
)
from couchside.simulate.library import demo_round, get_scenario, named_scenarios
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Room, Scenario
from couchside.simulate.simulation import Simulation, Truth, simulate

__all__ = [
    "AvBlock",
    "BeatKind",
    "Body",
    "Conduction",
    "Fault",
    "FaultKind",
    "HeartState",
    "Recorder",
    "Rhythm",
    "Room",
    "Scenario",
    "Simulation",
    "Territory",
    "Truth",
    "demo_round",
    "exchange",
    "get_scenario",
    "named_scenarios",
    "simulate",
]
