"""A person is put on the round."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.recording import Patient, Sex
from couchside.service.desk import Desk
from couchside.service.summaries import OrderSummary
from couchside.service.summarise import summarise_order, summarise_patient
from couchside.service.text_limits import (
    LONGEST_ACCESSION,
    LONGEST_NAME,
    LONGEST_TEXT,
    check_length,
)
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.orders import find_order_by_accession, find_patient, find_person
from couchside.store.tables import OrderRow, PatientRow
from couchside.store.words import OrderStatus, Urgency


@dataclass(frozen=True, slots=True, kw_only=True)
class NewOrder:
    """An order to be; the patient wants a number and a name, all else may be left out.

    `day` is today where None. `due_at` without a zone is on the clinic's clock.
    """

    patient: Patient
    accession: str = ""
    place: str = ""
    urgency: Urgency = Urgency.ROUTINE
    day: date | None = None
    due_at: datetime | None = None
    reason: str = ""


def add_order(desk: Desk, order: NewOrder) -> OrderSummary:
    """Put a person on the round.

    Raises InvalidInput where number or name is missing, where something is too long, where the
    accession number is taken, and where the patient number belongs to somebody with another date of
    birth or was corrected.
    """
    _check(order)
    with desk.store.writing() as session:
        _check_accession(session, order.accession.strip())
        row = _make_order(desk, order, _take_patient(session, desk, order.patient))
        session.add(row)
        session.flush()
        write_trail(
            session,
            desk,
            Deed.ORDERED,
            subject=Subject.ORDER,
            subject_id=row.id,
            detail={"patient": row.patient.identifier, "day": row.day.isoformat()},
        )
        return summarise_order(row)


def check_identity_words(patient: Patient) -> None:
    """Refuse a person without number or name, or with one that is too long."""
    if not patient.identifier.strip():
        raise InvalidInput(
            "the patient number is empty; give the number the department files under"
        )
    if not patient.full_name.strip():
        raise InvalidInput("the name is empty; give at least the family name")
    check_length("patient number", patient.identifier.strip(), LONGEST_NAME)
    check_length("family name", patient.family_name.strip(), LONGEST_NAME)
    check_length("given name", patient.given_name.strip(), LONGEST_NAME)


def make_patient(desk: Desk, patient: Patient) -> PatientRow:
    """A person whom the department did not know until now."""
    return PatientRow(
        identifier=patient.identifier.strip(),
        family_name=patient.family_name.strip(),
        given_name=patient.given_name.strip(),
        birth_date=patient.birth_date,
        sex=patient.sex,
        created_at=desk.now(),
    )


def _check(order: NewOrder) -> None:
    check_identity_words(order.patient)
    check_length("accession number", order.accession.strip(), LONGEST_ACCESSION)
    check_length("place", order.place.strip(), LONGEST_NAME)
    check_length("reason", order.reason.strip(), LONGEST_TEXT)


def _check_accession(session: Session, accession: str) -> None:
    if accession and find_order_by_accession(session, accession):
        raise InvalidInput(
            f"there is an order {accession} already; give another accession number or none"
        )


def _make_order(desk: Desk, order: NewOrder, patient: PatientRow) -> OrderRow:
    return OrderRow(
        patient=patient,
        accession=order.accession.strip() or None,
        place=order.place.strip(),
        urgency=order.urgency,
        day=order.day or desk.today(),
        due_at=desk.to_utc(order.due_at) if order.due_at else None,
        reason=order.reason.strip(),
        status=OrderStatus.OPEN,
        created_at=desk.now(),
    )


def _take_patient(session: Session, desk: Desk, patient: Patient) -> PatientRow:
    number = patient.identifier.strip()
    known = find_patient(session, number)
    if known is None:
        _check_corrected(session, number, patient)
        return make_patient(desk, patient)
    both_stated = known.birth_date is not None and patient.birth_date is not None
    if both_stated and known.birth_date != patient.birth_date:
        raise InvalidInput(
            f"patient {known.identifier} is filed with the birth date {known.birth_date}; "
            "check the patient number"
        )
    _complete(session, desk, known, patient)
    return known


def _check_corrected(session: Session, number: str, patient: Patient) -> None:
    """A number that was corrected is not given to the same person again."""
    corrected = find_person(session, number)
    if corrected is None:
        return
    name = summarise_patient(corrected).full_name
    if name.casefold() != patient.full_name.casefold():
        return
    raise InvalidInput(
        f"the patient number {number} of {name} was corrected to "
        f"{corrected.identifier}; give that number"
    )


def _complete(session: Session, desk: Desk, known: PatientRow, patient: Patient) -> None:
    """Fill what was not known; what is known stays until somebody amends it on purpose."""
    filled: list[str] = []
    if known.birth_date is None and patient.birth_date is not None:
        known.birth_date = patient.birth_date
        filled.append("birth_date")
    if known.sex is Sex.NOT_STATED and patient.sex is not Sex.NOT_STATED:
        known.sex = patient.sex
        filled.append("sex")
    if filled:
        write_trail(
            session,
            desk,
            Deed.PATIENT_COMPLETED,
            subject=Subject.PATIENT,
            subject_id=known.id,
            detail={"filled": filled},
        )
