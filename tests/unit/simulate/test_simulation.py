from __future__ import annotations

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.recording import Electrode
from couchside.simulate import demo_round, get_scenario, named_scenarios, simulate


@pytest.mark.parametrize("name", sorted(named_scenarios()))
def test_a_scenario_gives_the_same_samples_twice(name: str) -> None:
    first, second = (simulate(get_scenario(name)).recording.microvolts for _ in range(2))
    np.testing.assert_array_equal(first, second)


DRAWN_BY_THE_RECORDER = {"left-leg-off", "right-arm-at-rail"}


@pytest.mark.parametrize("name", sorted(set(named_scenarios()) - DRAWN_BY_THE_RECORDER))
def test_limb_identities_hold_within_rounding(name: str) -> None:
    recording = simulate(get_scenario(name)).recording
    first, second, third = (recording.get_lead(lead) for lead in ("I", "II", "III"))
    np.testing.assert_allclose(first + third, second, atol=1e-9)


def test_the_demo_round_names_people_once() -> None:
    people = [scenario.patient for scenario in demo_round()]
    assert len({person.identifier for person in people}) == len(people)
    assert sum(person.birth_date is None for person in people) == 1


def test_a_loose_left_arm_leaves_lead_two_clean() -> None:
    simulation = simulate(get_scenario("loose-left-arm"))
    added = simulation.recording.microvolts - simulation.truth.clean_microvolts
    spread = dict(zip(simulation.recording.leads, added.std(axis=1), strict=True))
    assert spread["II"] < spread["I"] / 5
    assert spread["II"] < spread["III"] / 5
    assert spread["V6"] == pytest.approx(spread["I"] / 3, rel=0.2)


def test_lost_contact_at_v2_draws_that_lead_flat() -> None:
    simulation = simulate(get_scenario("lost-contact-v2"))
    assert simulation.truth.faults[0].electrode is Electrode.C2
    assert np.ptp(simulation.recording.get_lead("V2")) == 0.0
    assert np.ptp(simulation.recording.get_lead("V3")) > 500.0


def test_a_limb_electrode_that_is_off_leaves_one_lead_of_twelve() -> None:
    recording = simulate(get_scenario("left-leg-off")).recording
    alive = [lead for lead in recording.leads if np.ptp(recording.get_lead(lead)) > 0.0]
    assert alive == ["I"]


def test_an_input_at_its_rail_draws_its_leads_at_the_ends_of_the_range() -> None:
    simulation = simulate(get_scenario("right-arm-at-rail"))
    rail = simulation.scenario.recorder.range_uv
    recording = simulation.recording
    assert (recording.get_lead("I") == -rail).all()
    assert (recording.get_lead("aVR") == rail).all()
    assert np.abs(recording.get_lead("III")).max() < rail


def test_an_unknown_name_is_told_the_near_ones() -> None:
    with pytest.raises(InvalidInput, match="there is loose-left-arm"):
        get_scenario("lose-left-arm")
