"""`couchside check` over real files: the DICOM file and a sample of each database."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

SCHEMA_FILE = Path(__file__).parents[2] / "docs" / "schema" / "check.schema.json"
SAMPLE_SIZE = 4
FOLDERS = {
    "dicom": ("formats/dicom", "*.dcm", 1),
    "ludb": ("ludb/data", "*.hea", SAMPLE_SIZE),
    "ptbxl": ("ptbxl/records500", "**/*.hea", SAMPLE_SIZE),
    "cinc2011": ("cinc2011", "*.hea", SAMPLE_SIZE),
    "cinc2020": ("cinc2020", "*.hea", SAMPLE_SIZE),
    "qtdb": ("qtdb", "*.hea", 1),
    "mitdb": ("mitdb", "*.hea", 1),
    "nstdb": ("nstdb", "*.hea", 1),
    "ptbdb": ("ptbdb", "*.hea", 1),
}

pytestmark = pytest.mark.data


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def answers(open_data: Path) -> dict[str, list[dict[str, Any]]]:
    """The answer of one real process over all samples, by folder."""
    samples = {name: find_sample(open_data, *where) for name, where in FOLDERS.items()}
    code, collection = check([path for paths in samples.values() for path in paths])
    assert code in {0, 1}
    assert collection["unreadable"] == []
    by_path = {each["file"]["path"]: each for each in collection["recordings"]}
    return {name: [by_path[str(path)] for path in paths] for name, paths in samples.items()}


@pytest.mark.parametrize("name", FOLDERS)
def test_a_sample_of_each_folder_gets_a_valid_answer(
    answers: dict[str, list[dict[str, Any]]], validator: Draft202012Validator, name: str
) -> None:
    assert answers[name]
    for document in answers[name]:
        validator.validate(document)
        reasons = [finding["asks"] for finding in document["findings"]]
        assert document["verdict"] == "keep" or document["verdict"] in reasons


def test_half_an_hour_of_two_leads_is_checked_whole(
    answers: dict[str, list[dict[str, Any]]],
) -> None:
    (document,) = answers["mitdb"]
    assert document["recording"]["duration_s"] > 1800
    assert document["beats"]["count"] > 1000
    assert "leads missing" in {finding["kind"] for finding in document["findings"]}


def test_twelve_leads_and_three_of_frank_are_all_read(
    answers: dict[str, list[dict[str, Any]]],
) -> None:
    (document,) = answers["ptbdb"]
    assert len(document["recording"]["leads"]) == 15
    assert document["electrode_noise"] is not None


def test_a_mixed_folder_tells_what_is_no_recording_and_what_is_not_read_yet(
    open_data: Path, validator: Draft202012Validator
) -> None:
    code, collection = check([open_data / "formats"])
    validator.validate(collection)
    assert code == 3
    names = {Path(each["file"]["path"]).name for each in collection["recordings"]}
    assert names == {"waveform_ecg.dcm"}
    for each in collection["unreadable"]:
        assert Path(each["file"]["path"]).name in each["sentence"]
    assert collection["passed_over_count"] > 0


def test_a_database_folder_counts_each_record_once(
    open_data: Path, validator: Draft202012Validator
) -> None:
    code, collection = check([open_data / "ptbdb"])
    validator.validate(collection)
    assert code in {0, 1}
    assert (len(collection["recordings"]), collection["passed_over_count"]) == (1, 0)


def find_sample(root: Path, folder: str, pattern: str, size: int) -> list[Path]:
    """Files spread evenly over a folder."""
    paths = sorted((root / folder).glob(pattern))
    return paths[:: max(1, len(paths) // size)][:size]


def check(paths: Sequence[Path]) -> tuple[int, dict[str, Any]]:
    """Run the command on several files or one folder; it must not complain."""
    ended = subprocess.run(
        [sys.executable, "-m", "couchside", "check", "--json", *map(str, paths)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONWARNINGS": "error::RuntimeWarning"},
    )
    assert ended.stderr == ""
    collection: dict[str, Any] = json.loads(ended.stdout)
    return ended.returncode, collection
