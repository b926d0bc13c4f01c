"""What a WFDB header says of the person: sex, and the age on the day of the recording."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from couchside.formats import write_wfdb
from couchside.recording import Patient, Recording


def list_age_lines(recording: Recording) -> list[str]:
    header = write_wfdb(recording, "record").files[0].content.decode()
    return [line for line in header.splitlines() if line.startswith("# Age")]


@pytest.mark.parametrize(
    ("birth_date", "line"),
    [
        (date(1961, 5, 6), "# Age: 70"),  # the birthday itself: recorded on 2031-05-06
        (date(1961, 5, 7), "# Age: 69"),
        (date(2029, 5, 6), "# Age: 2"),
        (date(2031, 4, 29), "# Age: 0.019"),  # seven days
        (date(2031, 5, 6), "# Age: 0"),
    ],
)
def test_the_age_on_the_day_follows_from_the_date_of_birth(
    full_recording: Recording, birth_date: date, line: str
) -> None:
    recording = replace(full_recording, patient=Patient(birth_date=birth_date))
    assert list_age_lines(recording) == [line]


@pytest.mark.parametrize("birth_date", [date(2031, 5, 7), date(1830, 1, 1)])
def test_an_age_that_nobody_has_is_not_written(full_recording: Recording, birth_date: date) -> None:
    recording = replace(full_recording, patient=Patient(birth_date=birth_date))
    assert list_age_lines(recording) == []


def test_without_a_date_of_birth_the_age_is_as_stated(full_recording: Recording) -> None:
    recording = replace(full_recording, patient=Patient(stated_age_years=7.5))
    assert list_age_lines(recording) == ["# Age: 7.5"]
