"""The files under tests/data: what they held when they were kept, they hold today."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import numpy as np
import pytest

from couchside.formats import read
from couchside.recording import STANDARD_LEADS, Sex

FOLDER = Path(__file__).parents[2] / "data" / "formats"


@pytest.mark.parametrize("name", ["good.dcm", "good.hea", "good.csv"])
def test_the_same_two_seconds_in_three_formats(name: str) -> None:
    """The table is plain text, whole microvolts; NumPy reads it without Couchside."""
    recording = read(FOLDER / name)
    lines = (FOLDER / "good.csv").read_text().splitlines()
    table = [line for line in lines if not line.startswith("#")]
    expected = np.loadtxt(table[1:], delimiter=",").T
    assert table[0].replace("_uV", "") == ",".join(recording.leads)
    assert recording.leads == STANDARD_LEADS
    assert (recording.rate_hz, recording.sample_count) == (500, 1000)
    np.testing.assert_array_equal(recording.microvolts, expected)
    assert recording.settings.resolution_uv == 1


@pytest.mark.parametrize("name", ["good.dcm", "good.csv"])
def test_what_is_stated_beside_the_samples(name: str) -> None:
    recording = read(FOLDER / name)
    assert recording.patient.full_name == "Fernhollow, Ines"
    assert recording.patient.birth_date == date(1961, 6, 18)
    assert recording.order.accession_number == "QB-1"
    assert recording.start == datetime.fromisoformat("2026-03-02T08:05:00+00:00")
    assert recording.settings.low_pass_hz == 150


def test_a_table_with_semicolons_and_decimal_commas() -> None:
    recording = read(FOLDER / "semicolons.csv")
    expected = [[10, 15, 125, 1005, 105], [20, np.nan, 250, 1210, 115], [-5, -10, -300, -850, -20]]
    assert recording.leads == ("I", "II", "V1")
    assert recording.rate_hz == 500
    np.testing.assert_allclose(recording.microvolts, np.array(expected))
    assert recording.patient.sex is Sex.FEMALE
    assert recording.remarks == ("Typed by hand.",)


def test_every_kept_file_is_accounted_for() -> None:
    listed = (FOLDER.parent / "README.md").read_text()
    for path in FOLDER.iterdir():
        assert f"`formats/{path.name}`" in listed
