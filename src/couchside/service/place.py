"""Under which order a recording belongs, or why under none."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.recording import Patient, Recording, Sex
from couchside.service.chains import load_chains
from couchside.service.desk import Desk
from couchside.store.queries.orders import find_order_by_accession, list_open_orders_of
from couchside.store.tables import OrderRow, PatientRow
from couchside.store.words import FiledBy, OrderStatus

MOST_DAYS_APART = 1
"""Between the day of an order and of the recording that its accession number names."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """An order and what leads to it, or else the reason why there is none."""

    order: OrderRow | None
    filed_by: FiledBy
    because: str = ""


def find_place(session: Session, desk: Desk, recording: Recording) -> Place:
    """The order that a recording answers.

    By the accession number that it states, if it was recorded on the order's day or the day before
    or after; else by its patient number, if it was recorded today and exactly one order of today
    still waits for that patient. Where anything speaks against it, a person must match the
    recording by hand: a recording under the wrong name does harm.
    """
    accession = recording.order.accession_number.strip()
    if accession:
        order = find_order_by_accession(session, accession)
        if order is not None:
            return _place_by_accession(desk, order, recording)
    return _place_by_patient_number(session, desk, recording)


def _place_by_accession(desk: Desk, order: OrderRow, recording: Recording) -> Place:
    withdrawn = order.status is OrderStatus.WITHDRAWN
    against = (
        f"the order {order.accession} was withdrawn" if withdrawn else "",
        *_list_contradictions(order.patient, recording.patient),
        _find_other_day(desk, order, recording),
    )
    because = "; ".join(each for each in against if each)
    return Place(order=None if because else order, filed_by=FiledBy.ACCESSION, because=because)


def _find_other_day(desk: Desk, order: OrderRow, recording: Recording) -> str:
    """That it was recorded too far from the order's day; a late round may pass midnight."""
    if recording.start is None:
        return ""
    day = desk.day_of(recording.start)
    if abs((day - order.day).days) <= MOST_DAYS_APART:
        return ""
    return f"it was recorded on {day}, but the order {order.accession} is for {order.day}"


def _place_by_patient_number(session: Session, desk: Desk, recording: Recording) -> Place:
    identifier = recording.patient.identifier.strip()
    candidates = _list_waiting(session, desk, recording) if identifier else []
    because = _why_not_one(desk, recording, len(candidates))
    if not because:
        because = "; ".join(_list_contradictions(candidates[0].patient, recording.patient))
    return Place(
        order=None if because else candidates[0],
        filed_by=FiledBy.PATIENT_NUMBER,
        because=because,
    )


def _list_waiting(session: Session, desk: Desk, recording: Recording) -> list[OrderRow]:
    # A recording made for another accession number does not answer these.
    orders = [
        order
        for order in list_open_orders_of(
            session, recording.patient.identifier.strip(), desk.today()
        )
        if not (recording.order.accession_number.strip() and order.accession)
    ]
    chains = load_chains(session, orders)
    waiting = [each.order.id for each in chains if not each.state.is_settled]
    # Who is gone, or could not be recorded, is back if a recording is there all the same.
    wanted = waiting or [each.order.id for each in chains if each.kept is None]
    return [order for order in orders if order.id in wanted]


def _why_not_one(desk: Desk, recording: Recording, count: int) -> str:
    accession = recording.order.accession_number.strip()
    identifier = recording.patient.identifier.strip()
    start = recording.start
    no_order = f"there is no order {accession}, and " if accession else ""
    if not identifier:
        return f"{no_order}the recording states no patient number"
    if start is None:
        return f"{no_order}the recording does not state when it was made"
    if desk.day_of(start) != desk.today():
        known = f"it states patient {identifier}, who is on today's round, but " if count else ""
        return f"{no_order}{known}it was recorded on {desk.day_of(start)}, not today"
    if count == 0:
        return f"{no_order}no order of today waits for patient {identifier}"
    if count > 1:
        return f"{no_order}{count} orders of today wait for patient {identifier}"
    return ""


def _list_contradictions(ordered: PatientRow, stated: Patient) -> tuple[str, ...]:
    """In what the file's person differs from the order's, where both sides state it."""
    identifier = stated.identifier.strip()
    both_born = stated.birth_date is not None and ordered.birth_date is not None
    both_sexes = Sex.NOT_STATED not in {stated.sex, ordered.sex}
    found = (
        f"it states patient {identifier}, but the order is for patient {ordered.identifier}"
        if identifier and identifier != ordered.identifier
        else "",
        f"it states a birth date of {stated.birth_date}, "
        f"but the order's patient was born on {ordered.birth_date}"
        if both_born and stated.birth_date != ordered.birth_date
        else "",
        f"it states the sex {stated.sex.value}, but the order's patient is {ordered.sex.value}"
        if both_sexes and stated.sex is not ordered.sex
        else "",
    )
    return tuple(each for each in found if each)
