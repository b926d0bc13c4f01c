"""Is it known whose ECG this is, and may limits of age and sex be applied."""

from __future__ import annotations

from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.quality.wording import join_words
from couchside.recording import Patient, Recording, Sex


def check_patient(recording: Recording) -> tuple[Finding, ...]:
    """One finding that lists what is missing of two identifiers, age and sex; else none.

    A patient is told from another by the patient number with the name or the date of birth, or by
    the name with the date of birth.
    """
    patient = recording.patient
    missing = _missing_identifiers(patient) + _missing_for_limits(recording)
    if not missing:
        return ()
    everything = patient == Patient()
    return (
        Finding(
            kind=FindingKind.IDENTITY,
            asks=Verdict.KEEP_WITH_REMARK,
            sentence=(
                "The recording does not say whose it is."
                if everything
                else f"The recording lacks the patient's {join_words(missing)}."
            ),
            remedy=f"Ask the person for the {join_words(missing)}; then complete it.",
            confidence=1.0,
            figures={"missing_fields": float(len(missing))},
        ),
    )


def _missing_identifiers(patient: Patient) -> tuple[str, ...]:
    known = bool(patient.identifier), bool(patient.full_name), patient.birth_date is not None
    if sum(known) >= 2:
        return ()
    names = ("patient number", "name", "date of birth")
    return tuple(name for name, there in zip(names, known, strict=True) if not there)


def _missing_for_limits(recording: Recording) -> tuple[str, ...]:
    patient = recording.patient
    lacks_age = patient.birth_date is None and patient.stated_age_years is None
    already_asked = "date of birth" in _missing_identifiers(patient)
    return (
        *(("date of birth",) if lacks_age and not already_asked else ()),
        *(("sex",) if patient.sex == Sex.NOT_STATED else ()),
    )
