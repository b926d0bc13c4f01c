"""A person corrects who somebody is: number, name, date of birth, sex."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput, NotFound
from couchside.recording import Patient, Sex
from couchside.service.desk import Desk
from couchside.service.ordering import check_identity_words, make_patient
from couchside.service.summaries import Amendment
from couchside.service.summarise import (
    encode_identity,
    summarise_amendments,
    summarise_patient,
    summarise_stated_patient,
)
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen
from couchside.store.queries.earlier import list_recordings_of
from couchside.store.queries.orders import find_patient, find_person
from couchside.store.tables import AmendmentRow, PatientRow


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityWish:
    """Who the person of a patient number really is, and why that is corrected.

    `seen_number` is the number of the amendment that was seen last, 0 for none.
    """

    patient_number: str
    patient: Patient
    reason: str
    seen_number: int


def amend_identity(desk: Desk, wish: IdentityWish) -> Amendment:
    """Correct a person's identity; what stood before stays on record, and so do the files.

    Raises NotFound where nobody has the number, InvalidInput where number, name or reason is
    missing, nothing is changed, or the new number is somebody else's, and Conflict where somebody
    else amended meanwhile.
    """
    reason = wish.reason.strip()
    check_identity_words(wish.patient)
    if not reason:
        raise InvalidInput("the reason is empty; write why the identity is corrected")
    check_length("reason", reason, LONGEST_TEXT)
    with desk.store.writing() as session:
        person = _get_person(session, desk, wish.patient_number.strip())
        check_newest_seen(person.amendments, wish.seen_number, done="amended this identity")
        before, after = summarise_patient(person), _trim(wish.patient)
        _check_change(session, before, after)
        _put(person, after)
        row = AmendmentRow(
            patient_id=person.id,
            number=wish.seen_number + 1,
            former_identifier=before.identifier,
            before=encode_identity(before),
            after=encode_identity(after),
            reason=reason,
            who=desk.who,
            amended_at=desk.now(),
        )
        person.amendments.append(row)
        _write_trail(session, desk, row)
        return summarise_amendments(person)[-1]


def list_changes(amendment: Amendment) -> tuple[tuple[str, str, str], ...]:
    """What was corrected, from what and to what; empty where it was not stated."""
    before, after = encode_identity(amendment.before), encode_identity(amendment.after)
    return tuple(
        (words, _said(before[key]), _said(after[key]))
        for key, words in _NAMES.items()
        if before[key] != after[key]
    )


_NAMES = {
    "identifier": "patient number",
    "family_name": "family name",
    "given_name": "given name",
    "birth_date": "date of birth",
    "sex": "sex",
}


def _said(value: object) -> str:
    return "" if value in {None, Sex.NOT_STATED.value} else str(value)


def _get_person(session: Session, desk: Desk, number: str) -> PatientRow:
    """The department's person; made as the newest file states, where no order named the number."""
    known = find_person(session, number)
    if known is not None:
        return known
    stating = list_recordings_of(session, number, at_most=1) if number else ()
    if not stating:
        raise NotFound(f"nobody has the patient number {number!r}; look at how it is written")
    made = make_patient(desk, summarise_stated_patient(stating[0]))
    session.add(made)
    session.flush()
    return made


def _check_change(session: Session, before: Patient, after: Patient) -> None:
    if after == before:
        raise InvalidInput("nothing is changed; correct what is wrong, or go back")
    if after.identifier == before.identifier:
        return
    holder = find_patient(session, after.identifier)
    if holder is not None:
        name = summarise_patient(holder).full_name
        raise InvalidInput(
            f"the patient number {after.identifier} is that of {name}; if this is the same person, "
            "file the recordings under that person instead"
        )


def _trim(patient: Patient) -> Patient:
    return Patient(
        identifier=patient.identifier.strip(),
        family_name=patient.family_name.strip(),
        given_name=patient.given_name.strip(),
        birth_date=patient.birth_date,
        sex=patient.sex,
    )


def _put(person: PatientRow, patient: Patient) -> None:
    person.identifier = patient.identifier
    person.family_name = patient.family_name
    person.given_name = patient.given_name
    person.birth_date = patient.birth_date
    person.sex = patient.sex


def _write_trail(session: Session, desk: Desk, row: AmendmentRow) -> None:
    session.flush()
    write_trail(
        session,
        desk,
        Deed.IDENTITY_AMENDED,
        subject=Subject.PATIENT,
        subject_id=row.patient_id,
        detail={
            "number": row.number,
            "before": row.before,
            "after": row.after,
            "reason": row.reason,
        },
    )
