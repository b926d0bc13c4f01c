"""Scenarios as text, and text as scenarios."""

from __future__ import annotations

import tomllib
from typing import cast

import tomli_w

from couchside.errors import InvalidInput
from couchside.simulate.plain import from_plain, to_plain
from couchside.simulate.scenario import Scenario


def scenario_to_toml(scenario: Scenario) -> str:
    """A scenario as TOML; what is as usual is left out.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    str
        Text that `scenario_from_toml` turns into an equal scenario.
    """
    return tomli_w.dumps(cast("dict[str, object]", to_plain(scenario)))


def scenario_from_toml(text: str) -> Scenario:
    """The scenario that a TOML text describes.

    Parameters
    ----------
    text : str
        As `scenario_to_toml` writes it, or written by hand; keys are the names of the fields.

    Raises
    ------
    InvalidInput
        If the text is no TOML, a key is unknown or missing, or a value cannot be.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as trouble:
        raise InvalidInput(f"the scenario is not TOML: {trouble}") from trouble
    return from_plain(Scenario, table, "the scenario")
