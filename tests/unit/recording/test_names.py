from __future__ import annotations

from datetime import date

import pytest

from couchside.recording import (
    CABLE_MARKS,
    CHEST_LEADS_AS_PLACED,
    ELECTRODES,
    ColourCode,
    Electrode,
    Lead,
    Patient,
    Placement,
    Sex,
    canonical_lead_name,
    describe_electrode,
)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("AVR", "aVR"),
        ("avf", "aVF"),
        ("i", "I"),
        (" Lead II ", "II"),
        ("ECG V1", "V1"),
        ("vx", "X"),
        ("C4", "V4"),
        ("MLII", "MLII"),
        ("ECG1", "ECG1"),
    ],
)
def test_lead_names_are_spelled_as_the_trade_does(written: str, name: str) -> None:
    assert canonical_lead_name(written) == name


def test_a_lead_equals_its_plain_name() -> None:
    plain: str = "aVR"
    assert plain == Lead.AVR
    assert {plain: 1}[Lead.AVR] == 1


@pytest.mark.parametrize("code", list(ColourCode))
def test_no_two_cables_of_one_code_look_alike(code: ColourCode) -> None:
    marks = CABLE_MARKS[code]
    assert set(marks) == set(ELECTRODES)
    assert len({mark.label for mark in marks.values()}) == len(ELECTRODES)
    assert len({mark.colours for mark in marks.values()}) == len(ELECTRODES)


def test_the_two_codes_give_red_black_and_green_to_different_limbs() -> None:
    """The trap that mixed cable sets lay (IEC 60601-2-25 against the AHA code, from memory)."""

    def limb_of(code: ColourCode, colour: str) -> Electrode:
        return next(e for e, mark in CABLE_MARKS[code].items() if mark.colours == (colour,))

    assert limb_of(ColourCode.IEC, "red") == Electrode.RA
    assert limb_of(ColourCode.AHA, "red") == Electrode.LL
    assert limb_of(ColourCode.IEC, "black") == Electrode.RL
    assert limb_of(ColourCode.AHA, "black") == Electrode.LA
    assert limb_of(ColourCode.IEC, "green") == Electrode.LL
    assert limb_of(ColourCode.AHA, "green") == Electrode.RL


def test_an_electrode_is_described_by_place_label_and_colour() -> None:
    assert describe_electrode(Electrode.LA) == "left arm (L, yellow)"
    assert describe_electrode(Electrode.LA, ColourCode.AHA) == "left arm (LA, black)"
    assert describe_electrode(Electrode.C3) == "V3 (C3, white–green)"
    assert describe_electrode(Electrode.C3, ColourCode.AHA) == "V3 (brown–green)"


def test_every_stated_placement_but_the_standard_one_needs_a_banner() -> None:
    quiet = {placement for placement in Placement if not placement.needs_a_banner}
    assert quiet == {Placement.STANDARD, Placement.NOT_STATED}


def test_each_placement_fills_six_chest_cables_with_different_leads() -> None:
    for leads in CHEST_LEADS_AS_PLACED.values():
        assert len(set(leads)) == 6
        assert all(lead in list(Lead) for lead in leads)


def test_age_comes_from_the_birth_date_before_the_stated_age() -> None:
    patient = Patient(birth_date=date(1980, 6, 15), stated_age_years=99)
    assert patient.age_years_on(date(2020, 6, 15)) == pytest.approx(40.0, abs=0.01)
    assert Patient(stated_age_years=7).age_years_on(date(2020, 6, 15)) == 7
    assert Patient(birth_date=date(1980, 6, 15)).age_years_on(None) is None


def test_a_patient_of_whom_nothing_is_known_says_so() -> None:
    patient = Patient()
    assert patient.full_name == ""
    assert patient.sex == Sex.NOT_STATED
    assert Patient(family_name="Okoye", given_name="Ada").full_name == "Okoye, Ada"
