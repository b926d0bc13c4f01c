"""Leads, rhythm, QTc choice and tell-now list in the JSON of a recording that holds them all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from couchside.measures.protocol import parse_protocol
from couchside.quality import check
from couchside.service.assessment_json import assessment_to_json
from couchside.service.protocols import add_tell_now
from couchside.simulate import get_scenario, simulate

SCHEMA_FILE = Path(__file__).parents[3] / "docs" / "schema" / "check.schema.json"
PROTOCOL = """title = "Ours"
[[rule]]
measure = "heart_rate"
at_least = 1
unit = "/min"
source = "ours"
[[rule]]
measure = "st_j"
at_least = 0.1
unit = "mV"
leads = ["V9"]
source = "ours"
"""


@pytest.fixture(scope="module")
def document() -> Any:
    recording = simulate(get_scenario("good")).recording
    assessment = add_tell_now(check(recording), recording, parse_protocol(PROTOCOL, "ours.toml"))
    return json.loads(json.dumps(assessment_to_json(recording, assessment), allow_nan=False))


def test_everything_follows_the_schema(document: Any) -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))

    Draft202012Validator(schema).validate(document)


def test_each_lead_has_all_waves_and_five_levels(document: Any) -> None:
    assert len(document["leads"]) == 12
    for lead in document["leads"]:
        assert [wave["wave"] for wave in lead["waves"]] == ["P", "Q", "R", "S", "R'", "S'", "T"]
        assert [level["after_j_ms"] for level in lead["st"]] == [0, 20, 40, 60, 80]
        for wave in lead["waves"]:
            assert (wave["amplitude_uv"] is None) == (wave["reason"] is not None)
            assert wave["amplitude_uv"] != 0


def test_rhythm_has_every_interval(document: Any) -> None:
    rhythm = document["rhythm"]

    assert len(rhythm["rr_ms"]) == len(rhythm["rr_from_s"]) == document["beats"]["count"] - 1
    assert rhythm["shortest"]["rr_ms"] == min(rhythm["rr_ms"])
    assert sum(group["count"] for group in rhythm["groups"]) == document["beats"]["count"]


def test_chosen_qtc_is_named(document: Any) -> None:
    assert document["qtc_choice"]["name"] == "qtc_fridericia"


def test_told_and_not_judged_stand_apart(document: Any) -> None:
    (item,) = document["tell_now"]["items"]

    assert item["sentence"].startswith("Show to a clinician now: heart rate ")
    assert document["tell_now"]["not_judged"] == [
        "ST at J at least 0.1 mV in 1 of V9: lead V9 was not recorded"
    ]


def test_intervals_carry_their_half_widths(document: Any) -> None:
    by_name = {measured["name"]: measured for measured in document["measures"]}

    for name in ("p_duration", "pr_interval", "qrs_duration", "qt_interval", "qtc_fridericia"):
        assert 0 < by_name[name]["uncertainty"] < by_name[name]["value"]
    assert by_name["qrs_axis"]["uncertainty"] is None
