"""The JSON form: what it says, that it follows its schema, and that it never says NaN."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import cast

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from couchside.errors import CorruptFile
from couchside.measures import Limits, Measured, MeasureName, Measures
from couchside.quality.model import (
    Assessment,
    Band,
    ElectrodeNoise,
    Finding,
    FindingKind,
    Hidden,
    Reading,
    Verdict,
)
from couchside.recording import (
    CHEST_ELECTRODES,
    Electrode,
    Origin,
    Patient,
    Recording,
    Sex,
)
from couchside.service.assessment_json import (
    assessment_to_json,
    collection_to_json,
    unreadable_to_json,
)
from couchside.waves.model import WaveBounds, Waves

SCHEMA_FILE = Path(__file__).parents[3] / "docs" / "schema" / "check.schema.json"
NINE_ELECTRODES = (Electrode.RA, Electrode.LA, Electrode.LL, *CHEST_ELECTRODES)


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.fixture
def recording() -> Recording:
    microvolts = np.zeros((2, 1000))
    microvolts[1, 10:13] = np.nan
    return Recording(
        leads=("I", "II"),
        microvolts=microvolts,
        rate_hz=500.0,
        start=datetime(2026, 3, 2, 8, 5, tzinfo=UTC),
        patient=Patient(identifier="Q-1", birth_date=date(1966, 3, 2), sex=Sex.FEMALE),
        origin=Origin(file_name="a.hea", format_name="wfdb", sha256="0" * 64, byte_count=7),
    )


@pytest.fixture
def assessment() -> Assessment:
    nothing = WaveBounds(
        onset=np.full((2, 3), np.nan), peak=np.full((2, 3), np.nan), offset=np.full((2, 3), np.nan)
    )
    return Assessment(
        verdict=Verdict.RECORD_AGAIN,
        findings=(
            Finding(
                kind=FindingKind.LOST_CONTACT,
                asks=Verdict.RECORD_AGAIN,
                sentence="The left-arm electrode is off.",
                remedy="Fix it.",
                further_remedies=("Change it.",),
                hides=(Hidden(what=Reading.P_WAVE, leads=("V2",)), Hidden(what=Reading.AXIS)),
                confidence=0.9,
                electrodes=(Electrode.LA,),
                leads=("I",),
                spans_s=((0.5, 1.25),),
                figures={"noise_rms_uv": 812.25, "ratio": float("nan"), "peak_uv": float("inf")},
            ),
        ),
        measures=Measures(
            values=(
                Measured(
                    name=MeasureName.QT_INTERVAL,
                    value=400.0,
                    unit="ms",
                    method="over all leads",
                    limits=Limits(low=None, high=440.0, population="adults", source="somebody"),
                ),
                Measured(
                    name=MeasureName.P_AXIS,
                    value=None,
                    unit="deg",
                    method="net area",
                    reason="no P wave was found",
                ),
            )
        ),
        waves=Waves(
            leads=("I", "II"),
            rate_hz=500.0,
            beat_samples=np.array([100, 500, 900]),
            beat_groups=np.array([0, 1, 0]),
            p=nothing,
            qrs=nothing,
            t=nothing,
            representative=None,
        ),
        electrode_noise=ElectrodeNoise(
            electrodes=NINE_ELECTRODES,
            bands=(Band.MAINS,),
            noise_rms_uv=np.array([[np.nan, *range(8)]]),
            fit=np.array([0.75]),
        ),
        code_version="9.9.9",
    )


def test_an_assessment_follows_the_schema_and_survives_strict_json(
    validator: Draft202012Validator, recording: Recording, assessment: Assessment
) -> None:
    document = assessment_to_json(recording, assessment)
    validator.validate(document)
    assert json.loads(json.dumps(document, allow_nan=False)) == document


def test_it_says_what_the_assessment_says(recording: Recording, assessment: Assessment) -> None:
    document = assessment_to_json(recording, assessment, path="folder/a.hea")
    assert document["verdict"] == "record again"
    assert document["code_version"] == "9.9.9"
    assert document["file"] == {
        "path": "folder/a.hea",
        "name": "a.hea",
        "format": "wfdb",
        "sha256": "0" * 64,
        "byte_count": 7,
    }
    assert document["findings"] == [
        {
            "kind": "lost contact",
            "asks": "record again",
            "sentence": "The left-arm electrode is off.",
            "remedy": "Fix it.",
            "remedies": ["Fix it.", "Change it."],
            "hides": [
                {"what": "P wave", "leads": ["V2"]},
                {"what": "axis", "leads": []},
            ],
            "confidence": 0.9,
            "electrodes": ["LA"],
            "leads": ["I"],
            "spans_s": [[0.5, 1.25]],
            "figures": {"noise_rms_uv": 812.25, "ratio": None, "peak_uv": None},
        }
    ]
    assert document["beats"] == {
        "count": 3,
        "groups": [{"group": 0, "count": 2}, {"group": 1, "count": 1}],
        "representative_count": 0,
    }


def test_a_measure_has_a_value_with_its_standing_or_a_reason(
    recording: Recording, assessment: Assessment
) -> None:
    qt, axis = cast(
        "list[dict[str, object]]", assessment_to_json(recording, assessment)["measures"]
    )
    assert (qt["value"], qt["unit"], qt["standing"], qt["reason"]) == (
        400.0,
        "ms",
        "within limits",
        None,
    )
    assert qt["limits"] == {
        "low": None,
        "high": 440.0,
        "high_is_outside": False,
        "population": "adults",
        "source": "somebody",
        "trust": "seen in its source",
    }
    assert (axis["value"], axis["reason"], axis["limits"]) == (None, "no P wave was found", None)


def test_electrode_noise_is_told_by_electrode(recording: Recording, assessment: Assessment) -> None:
    (mains,) = assessment_to_json(recording, assessment)["electrode_noise"]["bands"]  # type: ignore[index]
    assert (mains["band"], mains["fit"]) == ("mains", 0.75)
    assert mains["noise_rms_uv"]["RA"] is None
    assert (mains["noise_rms_uv"]["LA"], mains["noise_rms_uv"]["C6"]) == (0.0, 7.0)


def test_patient_fields_that_the_file_states_are_listed(
    recording: Recording, assessment: Assessment
) -> None:
    patient = assessment_to_json(recording, assessment)["patient"]
    assert patient == {
        "identifier": "Q-1",
        "family_name": None,
        "given_name": None,
        "birth_date": "1966-03-02",
        "age_years": 60.0,
        "sex": "female",
        "fields_present": ["identifier", "birth_date", "age_years", "sex"],
    }


def test_missing_samples_are_counted_over_all_leads(
    recording: Recording, assessment: Assessment
) -> None:
    described = assessment_to_json(recording, assessment)["recording"]
    assert isinstance(described, dict)
    assert (described["sample_count"], described["missing_sample_count"]) == (1000, 3)


def test_what_did_not_come_from_a_file_is_valid_too(
    validator: Draft202012Validator, recording: Recording, assessment: Assessment
) -> None:
    bare = Recording(leads=("V2",), microvolts=np.zeros((1, 5)), rate_hz=128.5)
    document = assessment_to_json(bare, replace(assessment, electrode_noise=None, findings=()))
    validator.validate(document)
    assert document["file"] is None
    assert document["electrode_noise"] is None


def test_a_collection_counts_verdicts_and_keeps_what_was_not_read(
    validator: Draft202012Validator, recording: Recording, assessment: Assessment
) -> None:
    read = assessment_to_json(recording, assessment, path="a.hea")
    unread = unreadable_to_json(CorruptFile("b.dcm is cut short"), path="x/b.dcm")
    validator.validate(unread)
    collection = collection_to_json([read, read], [unread], passed_over_count=4)
    validator.validate(collection)
    assert collection["verdict_counts"] == {"keep": 0, "keep with remark": 0, "record again": 2}
    assert collection["unreadable"] == [unread]
    assert (unread["reason"], unread["sentence"]) == ("CorruptFile", "b.dcm is cut short")


def test_the_schema_refuses_what_is_not_its_form(
    validator: Draft202012Validator, recording: Recording, assessment: Assessment
) -> None:
    document = assessment_to_json(recording, assessment)
    for broken in (
        {**document, "verdict": "perhaps"},
        {**document, "schema_version": "2.0"},
        {key: value for key, value in document.items() if key != "measures"},
        {**document, "findings": [{"kind": "gremlins"}]},
        {},
    ):
        assert not validator.is_valid(broken)


def test_every_key_that_is_written_is_described_in_the_schema(
    recording: Recording, assessment: Assessment
) -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    written = assessment_to_json(recording, assessment)
    _assert_described(written, schema["$defs"]["assessment"], schema["$defs"], "assessment")


def _assert_described(
    value: object, described: dict[str, object], definitions: dict[str, dict[str, object]], at: str
) -> None:
    described = _resolve(described, definitions)
    if isinstance(value, list):
        items = described.get("items")
        for item in value if isinstance(items, dict) else []:
            _assert_described(item, items, definitions, f"{at}[]")  # type: ignore[arg-type]
    if not isinstance(value, dict) or "propertyNames" in described:
        return
    properties = described.get("properties", {})
    required = described.get("required", [])
    assert isinstance(properties, dict)
    assert isinstance(required, list)
    for key, below in value.items():
        assert key in required, f"{at}.{key} is written, but the schema does not promise it"
        _assert_described(below, properties.get(key, {}), definitions, f"{at}.{key}")


def _resolve(
    described: dict[str, object], definitions: dict[str, dict[str, object]]
) -> dict[str, object]:
    alternatives = described.get("anyOf")
    if isinstance(alternatives, list):
        described = alternatives[0]
    reference = described.get("$ref")
    if isinstance(reference, str):
        return _resolve(definitions[reference.rsplit("/", 1)[1]], definitions)
    return described
