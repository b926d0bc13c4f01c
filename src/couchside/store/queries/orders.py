"""People and orders."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from couchside.errors import NotFound
from couchside.store.tables import AmendmentRow, OrderRow, PatientRow
from couchside.store.words import OrderStatus


def find_patient(session: Session, identifier: str) -> PatientRow | None:
    """The person of that patient number."""
    return session.scalar(select(PatientRow).where(PatientRow.identifier == identifier))


def find_person(session: Session, number: str) -> PatientRow | None:
    """Whoever has a patient number, else whoever had it last before a correction."""
    return find_patient(session, number) or session.scalar(
        select(PatientRow)
        .join(AmendmentRow, AmendmentRow.patient_id == PatientRow.id)
        .where(AmendmentRow.former_identifier == number)
        .order_by(AmendmentRow.id.desc())
        .limit(1)
    )


def list_numbers(session: Session, number: str) -> tuple[str, ...]:
    """Every patient number that means the person of this one, the standing one first."""
    person = find_person(session, number)
    if person is None:
        return (number,)
    former = {row.former_identifier for row in person.amendments} - {person.identifier}
    mine = (each for each in sorted(former) if find_person(session, each) is person)
    return (person.identifier, *mine)


def get_order(session: Session, order_id: int) -> OrderRow:
    """One order; raises NotFound."""
    order = session.get(OrderRow, order_id)
    if order is None:
        raise NotFound(f"there is no order {order_id}; choose one from the round")
    return order


def find_order_by_accession(session: Session, accession: str) -> OrderRow | None:
    """The order of that accession number."""
    return session.scalar(select(OrderRow).where(OrderRow.accession == accession))


def list_open_orders(session: Session, day: date) -> Sequence[OrderRow]:
    """Every order of a day that still stands, in no order."""
    wanted = select(OrderRow).where(OrderRow.day == day, OrderRow.status == OrderStatus.OPEN)
    return session.scalars(wanted).all()


def list_open_orders_of(session: Session, identifier: str, day: date) -> Sequence[OrderRow]:
    """A patient's orders of a day that still stand, oldest first."""
    wanted = (
        select(OrderRow)
        .join(OrderRow.patient)
        .where(
            PatientRow.identifier == identifier,
            OrderRow.day == day,
            OrderRow.status == OrderStatus.OPEN,
        )
        .order_by(OrderRow.id)
    )
    return session.scalars(wanted).all()
