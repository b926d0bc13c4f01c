"""Parcels, and those that could not be read."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from couchside.errors import NotFound
from couchside.store.tables import ArrivalProblemRow, ParcelFileRow, ParcelRow


def find_parcel(session: Session, sha256: str) -> ParcelRow | None:
    """The parcel of that digest."""
    return session.scalar(select(ParcelRow).where(ParcelRow.sha256 == sha256))


def list_file_digests(session: Session) -> tuple[str, ...]:
    """The digest of every file that any parcel names."""
    return tuple(session.scalars(select(ParcelFileRow.sha256).distinct()))


def get_problem(session: Session, problem_id: int) -> ArrivalProblemRow:
    """One arrival problem; raises NotFound."""
    problem = session.get(ArrivalProblemRow, problem_id)
    if problem is None:
        raise NotFound(f"there is no arrival problem {problem_id}; choose one from the round")
    return problem


def find_problem_of(session: Session, parcel_id: int) -> ArrivalProblemRow | None:
    """Why a parcel could not be read, settled or not."""
    return session.scalar(select(ArrivalProblemRow).where(ArrivalProblemRow.parcel_id == parcel_id))


def list_open_problems(session: Session) -> Sequence[ArrivalProblemRow]:
    """Problems that nobody has seen to, newest first."""
    wanted = (
        select(ArrivalProblemRow)
        .where(ArrivalProblemRow.settled_at.is_(None))
        .order_by(ArrivalProblemRow.id.desc())
    )
    return session.scalars(wanted).all()
