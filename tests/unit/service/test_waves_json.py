"""Beats and boundaries for drawing are what their schema says, and where the heart has them."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from couchside.measures import MeasureName
from couchside.quality import Assessment, check
from couchside.serial import Examined, compare
from couchside.service.waves_json import earlier_beat_to_json, waves_to_json
from couchside.simulate import another_visit, get_scenario, random_scenario, simulate

SCHEMA = json.loads(
    (Path(__file__).parents[3] / "docs" / "schema" / "waves.schema.json").read_text("utf-8")
)
DETECTED_WITHIN_S = 0.05
"""A beat is detected within its QRS, which lasts about 0.1 s."""


@pytest.fixture(scope="module")
def visits() -> tuple[Examined, Examined]:
    first = random_scenario(3)
    recordings = [simulate(each).recording for each in (another_visit(first, days=90.0), first)]
    new, old = (Examined(recording=each, assessment=check(each)) for each in recordings)
    return new, old


@pytest.fixture(scope="module")
def assessment(visits: tuple[Examined, Examined]) -> Assessment:
    return visits[0].assessment


def as_checked(document: dict[str, object]) -> dict[str, Any]:
    """The document, by the schema and as JSON carries it."""
    Draft202012Validator(SCHEMA).validate(document)
    return cast("dict[str, Any]", json.loads(json.dumps(document, allow_nan=False)))


def test_beats_and_bounds_are_those_found(assessment: Assessment) -> None:
    told = as_checked(waves_to_json(assessment, start_s=0.0, length_s=60.0))
    waves = assessment.waves
    at_s = [beat["at_s"] for beat in told["beats"]]
    np.testing.assert_allclose(at_s, waves.beat_samples / waves.rate_hz, atol=1e-6)
    onsets = np.array(told["waves"]["qrs"]["onset_s"], dtype=float)
    np.testing.assert_allclose(onsets, waves.qrs.onset / waves.rate_hz, atol=1e-5)


def test_a_stretch_holds_its_own_beats_alone(assessment: Assessment) -> None:
    told = as_checked(waves_to_json(assessment, start_s=2.0, length_s=3.0))
    at_s = [beat["at_s"] for beat in told["beats"]]
    assert at_s
    assert all(2.0 <= each < 5.0 for each in at_s)
    assert {len(row) for row in told["waves"]["t"]["offset_s"]} == {len(at_s)}


def test_boundaries_carry_the_half_width_of_the_interval_they_end(assessment: Assessment) -> None:
    told = as_checked(waves_to_json(assessment, start_s=0.0, length_s=10.0))
    beat = told["representative"]
    by_name = {each["boundary"]: each for each in beat["boundaries"]}
    assert list(by_name) == ["p_onset", "p_offset", "qrs_onset", "qrs_offset", "t_offset"]
    qrs = assessment.measures.get(MeasureName.QRS_DURATION)
    assert qrs.value is not None
    assert qrs.uncertainty is not None
    told_ms = 1000.0 * (by_name["qrs_offset"]["at_s"] - by_name["qrs_onset"]["at_s"])
    assert told_ms == pytest.approx(qrs.value, abs=1.0)
    assert by_name["qrs_onset"]["half_width_ms"] == pytest.approx(qrs.uncertainty)
    assert by_name["t_offset"]["half_width_of"] == "qt_interval"
    assert by_name["qrs_onset"]["at_s"] < 0 < by_name["qrs_offset"]["at_s"]
    assert abs(by_name["qrs_onset"]["at_s"]) < 2 * DETECTED_WITHIN_S


def test_the_representative_beat_stands_where_the_beats_stand(
    visits: tuple[Examined, Examined],
) -> None:
    new, _ = visits
    told = as_checked(waves_to_json(new.assessment, start_s=1.0, length_s=7.0))
    beat = told["representative"]
    lead = new.recording.leads.index("V5")
    row = np.array(beat["microvolts"][lead], dtype=float)
    rate_hz = new.recording.rate_hz
    for each in told["beats"]:
        first = round((each["at_s"] + beat["from_s"]) * rate_hz)
        recorded = new.recording.microvolts[lead, first : first + row.size]
        middle = slice(round(0.5 * rate_hz), round(0.7 * rate_hz))
        assert np.corrcoef(row[middle], recorded[middle])[0, 1] > 0.98


def test_the_earlier_beat_lies_on_the_newer_one(visits: tuple[Examined, Examined]) -> None:
    new, old = visits
    told = as_checked(earlier_beat_to_json(new.assessment, compare(new, old).beats, recording_id=7))
    assert told["recording_id"] == 7
    beat = told["beat"]
    newer = new.assessment.waves.representative
    assert newer is not None
    lead = beat["leads"].index("II")
    own = newer.microvolts[newer.leads.index("II")]
    earlier = np.array(beat["microvolts"][lead], dtype=float)
    qrs = slice(int(newer.overall.qrs_onset), int(newer.overall.qrs_offset))
    assert beat["from_s"] == pytest.approx(-newer.fiducial_sample / newer.rate_hz)
    assert np.corrcoef(own[qrs], earlier[qrs])[0, 1] > 0.9


def test_nothing_found_is_null(visits: tuple[Examined, Examined]) -> None:
    new, _ = visits
    flat = check(replace(new.recording, microvolts=np.zeros_like(new.recording.microvolts)))
    told = as_checked(waves_to_json(flat, start_s=0.0, length_s=10.0))
    assert told["representative"] is None
    assert told["beats"] == []
    nobody = as_checked(earlier_beat_to_json(flat, None, recording_id=None))
    assert nobody["beat"] is None


def test_further_groups_have_their_beats_without_half_widths() -> None:
    found = check(simulate(get_scenario("early-ventricular-beats")).recording)
    told = as_checked(waves_to_json(found, start_s=0.0, length_s=10.0))
    (other,) = told["others"]
    assert told["representative"]["group"] == 0
    assert other["group"] == 1
    assert other["beat_count"] == sum(beat["group"] == 1 for beat in told["beats"])
    assert {each["half_width_ms"] for each in other["boundaries"]} == {None}
