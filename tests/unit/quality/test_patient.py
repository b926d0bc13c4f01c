"""Two identifiers, an age, a sex."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from couchside.quality import Verdict
from couchside.quality.patient import check_patient
from couchside.recording import Patient, Recording, Sex

_BORN = date(1961, 5, 4)


def _asked(patient: Patient) -> str:
    recording = Recording(
        leads=("I",), microvolts=np.zeros((1, 10)), rate_hz=500.0, patient=patient
    )
    findings = check_patient(recording)
    assert len(findings) <= 1
    assert all(found.asks == Verdict.KEEP_WITH_REMARK for found in findings)
    return findings[0].remedy if findings else ""


@pytest.mark.parametrize(
    "patient",
    [
        Patient(identifier="Q-1", birth_date=_BORN, sex=Sex.FEMALE),
        Patient(family_name="Fernhollow", birth_date=_BORN, sex=Sex.MALE),
        Patient(identifier="Q-1", given_name="Ines", stated_age_years=64.0, sex=Sex.OTHER),
    ],
)
def test_two_identifiers_age_and_sex_are_enough(patient: Patient) -> None:
    assert _asked(patient) == ""


def test_everything_that_lacks_is_asked_at_once() -> None:
    asked = _asked(Patient())
    for field in ("patient number", "name", "date of birth", "sex"):
        assert field in asked


@pytest.mark.parametrize(
    ("patient", "asked", "not_asked"),
    [
        (Patient(identifier="Q-1", family_name="F", sex=Sex.MALE), "date of birth", "number"),
        (Patient(identifier="Q-1", birth_date=_BORN), "sex", "birth"),
        (Patient(identifier="Q-1", sex=Sex.MALE, stated_age_years=3.0), "name", "sex"),
    ],
)
def test_only_what_lacks_is_asked(patient: Patient, asked: str, not_asked: str) -> None:
    assert asked in _asked(patient)
    assert not_asked not in _asked(patient)
