"""A heart, a torso, ten electrodes, a recorder, and what goes wrong at an electrode."""

from couchside.simulate.cables import (
    chest_exchanges,
    exchange,
    limb_arrangements,
    same_colour_exchanges,
)
from couchside.simulate.electrodes import Contact, Fault, FaultKind, RecordedNoise
from couchside.simulate.heart.rhythm import BeatKind
from couchside.simulate.heart.state import (
    AvBlock,
    Body,
    Conduction,
    HeartState,
    Rhythm,
    Territory,
)
from couchside.simulate.library import demo_round, earlier_visits, get_scenario, named_scenarios
from couchside.simulate.population import (
    random_adult,
    random_fault,
    random_patient,
    random_scenario,
    with_random_fault,
)
from couchside.simulate.recorder import Recorder
from couchside.simulate.scenario import Room, Scenario
from couchside.simulate.scenario_text import scenario_from_toml, scenario_to_toml
from couchside.simulate.simulation import Simulation, simulate
from couchside.simulate.torso import ElectrodeShift
from couchside.simulate.truth import HeartTruth, OverallTruth, Truth
from couchside.simulate.truth_json import truth_to_plain
from couchside.simulate.visits import another_visit

__all__ = [
    "AvBlock",
    "BeatKind",
    "Body",
    "Conduction",
    "Contact",
    "ElectrodeShift",
    "Fault",
    "FaultKind",
    "HeartState",
    "HeartTruth",
    "OverallTruth",
    "RecordedNoise",
    "Recorder",
    "Rhythm",
    "Room",
    "Scenario",
    "Simulation",
    "Territory",
    "Truth",
    "another_visit",
    "chest_exchanges",
    "demo_round",
    "earlier_visits",
    "exchange",
    "get_scenario",
    "limb_arrangements",
    "named_scenarios",
    "random_adult",
    "random_fault",
    "random_patient",
    "random_scenario",
    "same_colour_exchanges",
    "scenario_from_toml",
    "scenario_to_toml",
    "simulate",
    "truth_to_plain",
    "with_random_fault",
]
