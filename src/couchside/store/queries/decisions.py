"""What people decided."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from couchside.store.tables import DecisionRow

Decisions = Mapping[int, Sequence[DecisionRow]]


def list_decisions_on_recordings(session: Session, recording_ids: Collection[int]) -> Decisions:
    """Decisions on each recording, the standing one last; empty where there are none."""
    return _list_by(session, DecisionRow.recording_id, recording_ids)


def list_decisions_on_orders(session: Session, order_ids: Collection[int]) -> Decisions:
    """Decisions on each order itself, the standing one last; empty where there are none."""
    return _list_by(session, DecisionRow.order_id, order_ids)


def _list_by(
    session: Session, subject: InstrumentedAttribute[int | None], ids: Collection[int]
) -> Decisions:
    found: defaultdict[int, list[DecisionRow]] = defaultdict(list)
    if not ids:
        return found
    wanted = select(subject, DecisionRow).where(subject.in_(ids)).order_by(DecisionRow.number)
    for subject_id, decision in session.execute(wanted):
        if subject_id is not None:
            found[subject_id].append(decision)
    return found
