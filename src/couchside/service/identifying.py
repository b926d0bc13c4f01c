"""Before recording: the person says who they are, and somebody says that it was checked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from couchside.errors import InvalidInput
from couchside.service.desk import Desk
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.bedside import list_identity_checks
from couchside.store.queries.orders import get_order
from couchside.store.tables import IdentityCheckRow

FEWEST_IDENTIFIERS = 2
"""Two identifiers, never the place or the bed (common practice; local protocol decides which)."""


class Identifier(StrEnum):
    """What a person was asked to say, or what was read from their wristband."""

    NAME = "full name, spoken"
    BIRTH_DATE = "date of birth, spoken"
    NUMBER = "patient number, spoken or from the wristband"


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityCheck:
    """That somebody checked who a person is."""

    identifiers: tuple[Identifier, ...]
    who: str
    checked_at: datetime


def check_identity(desk: Desk, order_id: int, identifiers: Iterable[Identifier]) -> IdentityCheck:
    """Keep that a person was checked by at least two identifiers.

    Raises NotFound, and InvalidInput where there are fewer.
    """
    checked = tuple(each for each in Identifier if each in set(identifiers))
    if len(checked) < FEWEST_IDENTIFIERS:
        raise InvalidInput(
            "fewer than two identifiers were checked; have the person say name and date of birth, "
            "or read the number from the wristband"
        )
    with desk.store.writing() as session:
        row = IdentityCheckRow(
            order_id=get_order(session, order_id).id,
            identifiers=[each.value for each in checked],
            who=desk.who,
            checked_at=desk.now(),
        )
        session.add(row)
        write_trail(
            session,
            desk,
            Deed.IDENTITY_CHECKED,
            subject=Subject.ORDER,
            subject_id=order_id,
            detail={"identifiers": row.identifiers},
        )
        return _summarise(row)


def list_checks(desk: Desk, order_id: int) -> tuple[IdentityCheck, ...]:
    """Checks for an order, oldest first."""
    with desk.store.reading() as session:
        return tuple(map(_summarise, list_identity_checks(session, order_id)))


def _summarise(row: IdentityCheckRow) -> IdentityCheck:
    return IdentityCheck(
        identifiers=tuple(Identifier(each) for each in row.identifiers),
        who=row.who,
        checked_at=row.checked_at,
    )
