"""Codes for leads and placements, against the context groups CID 3001 and CID 3263.

pydicom carries the groups as generated from DICOM PS3.16; its tables, not Couchside's, decide.
"""

from __future__ import annotations

import re

import pytest
from pydicom.sr.codedict import codes
from pydicom.uid import UID

from couchside.formats.dicom_codes import (
    DERIVED_LEAD_NUMBERS,
    ECG_CLASSES,
    ELECTRODE_PLACEMENT,
    INVERTED_AVR_NUMBER,
    LEAD_NUMBERS,
    PATIENT_STATE,
    PLACEMENT_CODES,
    SUPINE,
    UNSPECIFIED_LEAD_NUMBER,
)
from couchside.recording import Lead, Placement

AUGMENTED = {"aVR": "aVR,", "aVL": "aVL,", "aVF": "aVF,"}


def meanings(cid: str) -> dict[str, str]:
    """Meaning by code value of every code of scheme MDC in a context group."""
    group = getattr(codes, cid)
    found = (getattr(group, name) for name in group.dir())
    return {code.value: code.meaning for code in found if code.scheme_designator == "MDC"}


@pytest.mark.parametrize(("lead", "number"), sorted(LEAD_NUMBERS.items()))
def test_cid_3001_leads(lead: str, number: int) -> None:
    meaning = meanings("cid3001")[f"2:{number}"]
    if lead in AUGMENTED:
        assert meaning.startswith(AUGMENTED[lead])
    else:
        assert meaning == f"Lead {lead}"


@pytest.mark.parametrize(("number", "lead"), sorted(DERIVED_LEAD_NUMBERS.items()))
def test_cid_3001_derived_leads(number: int, lead: str) -> None:
    assert meanings("cid3001")[f"2:{number}"] == f"Derived Lead {lead}"


def test_cid_3001_others() -> None:
    assert meanings("cid3001")[f"2:{INVERTED_AVR_NUMBER}"] == "−aVR"
    assert meanings("cid3001")[f"2:{UNSPECIFIED_LEAD_NUMBER}"] == "Unspecified lead"


def test_every_lead_of_the_trade_has_its_code() -> None:
    assert set(LEAD_NUMBERS) == set(Lead)


@pytest.mark.parametrize(("placement", "code"), sorted(PLACEMENT_CODES.items()))
def test_cid_3263_placements(placement: Placement, code: tuple[str, str]) -> None:
    value, meaning = code
    assert meanings("cid3263")[value] == meaning


def test_the_concept_of_placement() -> None:
    scheme, value, meaning = ELECTRODE_PLACEMENT
    code = codes.DCM.ElectrodePlacement
    assert (code.scheme_designator, code.value, code.meaning) == (scheme, value, meaning)


def test_cid_3262_patient_state() -> None:
    name, supine = codes.DCM.PatientState, codes.cid3262.SupineBodyPosition
    assert (name.scheme_designator, name.value, name.meaning) == PATIENT_STATE
    assert (supine.scheme_designator, supine.value, supine.meaning) == SUPINE


@pytest.mark.parametrize(("uid", "title"), sorted(ECG_CLASSES.items()))
def test_ps3_6_classes(uid: str, title: str) -> None:
    name = re.sub(r" Waveform Storage.*", "", UID(uid).name)
    assert name == title
