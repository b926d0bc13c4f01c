"""The JSON of a comparison is what its schema says."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from couchside.quality import check
from couchside.recording import Electrode
from couchside.serial import Examined, UnlikeKind, Weight, compare
from couchside.serial import check as check_against_earlier
from couchside.service.assessment_json import assessment_to_json
from couchside.service.comparison_json import comparison_to_json
from couchside.simulate import another_visit, exchange, random_scenario, simulate

SCHEMAS = Path(__file__).parents[3] / "docs" / "schema"
SCHEMA = json.loads((SCHEMAS / "compare.schema.json").read_text("utf-8"))
CHECK_SCHEMA = json.loads((SCHEMAS / "check.schema.json").read_text("utf-8"))


@pytest.fixture(scope="module")
def pair() -> tuple[Examined, Examined]:
    first = random_scenario(3)
    recordings = [simulate(each).recording for each in (another_visit(first, days=90.0), first)]
    new, old = (Examined(recording=each, assessment=check(each)) for each in recordings)
    return new, old


def test_two_visits_by_the_schema(pair: tuple[Examined, Examined]) -> None:
    new, old = pair
    document = comparison_to_json(new, compare(new, old), new_path="a.dcm", old_path="b.dcm")
    Draft202012Validator(SCHEMA).validate(document)
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert document["document"] == "comparison"


def test_what_cannot_be_compared_by_the_schema(pair: tuple[Examined, Examined]) -> None:
    new, old = pair
    flat = replace(new.recording, microvolts=np.zeros_like(new.recording.microvolts))
    empty = Examined(recording=flat, assessment=check(flat))
    document = comparison_to_json(empty, compare(empty, old), new_path=None, old_path=None)
    Draft202012Validator(SCHEMA).validate(document)
    assert document["exchange"] is None
    assert document["leads"] == []


def test_an_assessment_against_an_earlier_recording_holds_the_same(
    pair: tuple[Examined, Examined],
) -> None:
    """One schema file validates it whole."""
    new, old = pair
    assessment = check_against_earlier(new.recording, [old])
    assert assessment.comparison is not None
    document = assessment_to_json(new.recording, assessment, path="a.dcm")
    validator = Draft202012Validator(CHECK_SCHEMA)
    validator.validate(document)
    held = document["comparison"]
    assert held == comparison_to_json(
        Examined(recording=new.recording, assessment=assessment),
        assessment.comparison,
        new_path="a.dcm",
        old_path=None,
    )
    assert not validator.is_valid({**document, "comparison": {"document": "comparison"}})
    alone = assessment_to_json(new.recording, new.assessment)
    validator.validate(alone)
    assert alone["comparison"] is None


def test_the_schema_of_the_check_holds_that_of_the_comparison() -> None:
    assert CHECK_SCHEMA["$defs"]["comparison"] == SCHEMA


@pytest.mark.parametrize(("name", "members"), [("weight", Weight), ("unlike_kind", UnlikeKind)])
def test_closed_sets_are_described(name: str, members: type[Weight | UnlikeKind]) -> None:
    told = {each["const"] for each in SCHEMA["$defs"][name]["oneOf"]}
    assert told == {member.value for member in members}


def test_it_says_of_which_recording_the_cables_were_exchanged(
    pair: tuple[Examined, Examined],
) -> None:
    _, old = pair
    cables = exchange(Electrode.RA, Electrode.LA)
    recording = simulate(replace(random_scenario(3), cables=cables)).recording
    new = Examined(recording=recording, assessment=check(recording))
    document = comparison_to_json(new, compare(new, old), new_path=None, old_path=None)
    Draft202012Validator(SCHEMA).validate(document)
    told = document["exchange"]
    assert isinstance(told, dict)
    assert told["of_the_new"] is True
