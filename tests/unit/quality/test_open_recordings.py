"""The check on open recordings: nothing good is sent back, and what is plainly bad is."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import couchside
from couchside.quality import FindingKind, Verdict, check

pytestmark = pytest.mark.data


def _headers(folder: Path, count: int) -> list[Path]:
    headers = sorted(folder.rglob("*.hea"))[:count]
    assert len(headers) == count
    return headers


@pytest.mark.parametrize("database", ["ludb", "ptbxl"])
def test_usual_recordings_are_not_sent_back(open_data: Path, database: str) -> None:
    """At most 1 % is the goal over all of them; among these few, none."""
    for header in _headers(open_data / database, 20):
        assessment = check(couchside.read(header))
        assert assessment.verdict != Verdict.RECORD_AGAIN, (header.stem, assessment.findings[0])


def test_a_lead_called_unacceptable_for_being_flat_is_named(open_data: Path) -> None:
    """Record 1003574 of CinC 2011 is labelled unacceptable; its V3 stands at −16000 steps."""
    with (open_data / "cinc2011" / "labels.csv").open(encoding="utf-8") as file:
        labels = {row["record"]: row["label"] for row in csv.DictReader(file)}
    assert labels["1003574"] == "unacceptable"
    assessment = check(couchside.read(open_data / "cinc2011" / "1003574.hea"))
    assert assessment.verdict == Verdict.RECORD_AGAIN
    lost = [each for each in assessment.findings if each.kind == FindingKind.LOST_CONTACT]
    assert any("V3" in each.leads for each in lost)


def test_a_file_with_its_gain_five_times_too_small_is_told(open_data: Path) -> None:
    """HR00004 of the CinC 2020 samples states 200 steps per mV; beats of 15 mV come out of it."""
    found = check(couchside.read(open_data / "cinc2020" / "HR00004.hea")).findings[0]
    assert found.kind == FindingKind.AMPLITUDE
