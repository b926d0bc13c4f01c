from __future__ import annotations

from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.simulate import (
    get_scenario,
    named_scenarios,
    scenario_from_toml,
    scenario_to_toml,
    simulate,
)

HEAD = 'name = "a"\ntitle = "b"\n'
BODY = '[body]\nage_years = 1\nsex = "male"\nheart_seed = 1'


@pytest.mark.parametrize("name", sorted(named_scenarios()))
def test_a_scenario_survives_the_way_through_text(name: str) -> None:
    scenario = get_scenario(name)
    again = scenario_from_toml(scenario_to_toml(scenario))
    assert again == scenario
    assert scenario_to_toml(again) == scenario_to_toml(scenario)


def test_a_scenario_written_by_hand_is_read() -> None:
    text = """
    name = "by-hand"
    title = "Mains at the left arm"
    seed = 3
    [body]
    age_years = 40
    sex = "female"
    heart_seed = 9
    [[faults]]
    kind = "mains interference"
    electrode = "LA"
    amplitude_uv = 200
    [cables]
    RA = "LA"
    LA = "RA"
    """
    scenario = scenario_from_toml(text)
    assert scenario.body.age_years == 40.0
    assert simulate(scenario).truth.cables == {"RA": "LA", "LA": "RA"}


def test_the_scenario_on_the_page_is_read() -> None:
    page = (Path(__file__).parents[3] / "docs" / "simulation.md").read_text(encoding="utf-8")
    text = page.partition("```toml\n")[2].partition("```")[0]
    simulation = simulate(scenario_from_toml(text))
    assert simulation.truth.faults[0].amplitude_uv == 1500.0
    assert simulation.truth.cables == {"RA": "LA", "LA": "RA"}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("name = ", "is not TOML"),
        ('name = "a"', "lacks title, seed, body"),
        ('name = "a"\ntitle = "b"\nseed = 1\nbody = 4', "body of the scenario is 4"),
        ('nmae = "a"', "nmae, which is not known"),
        (
            HEAD + 'seed = "x"\n' + BODY,
            "seed of the scenario is 'x'; it must be a whole number",
        ),
        (
            HEAD + "seed = 1\n" + BODY.replace("male", "blue"),
            "must be one of female, male",
        ),
        (
            HEAD + "seed = -1\n" + BODY,
            "seed of -1 is negative",
        ),
    ],
)
def test_a_text_that_cannot_be_is_told_why(text: str, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        scenario_from_toml(text)
