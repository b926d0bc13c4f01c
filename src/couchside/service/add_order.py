"""A person is put on the round."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from couchside.recording import Patient
from couchside.service.desk import Desk
from couchside.service.summaries import OrderSummary
from couchside.store.words import Urgency


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

    Raises InvalidInput where number or name is missing, Conflict where the accession number is
    taken or the patient number belongs to somebody with another date of birth.
    """
    raise NotImplementedError
