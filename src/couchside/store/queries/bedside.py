"""Checks of identity, notes on people, circumstances of recordings, and what is to be told."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from couchside.errors import NotFound
from couchside.store.tables import (
    CircumstancesRow,
    IdentityCheckRow,
    PatientNoteRow,
    TellNowRow,
)


def list_identity_checks(session: Session, order_id: int) -> Sequence[IdentityCheckRow]:
    """Checks for an order, oldest first."""
    wanted = select(IdentityCheckRow).where(IdentityCheckRow.order_id == order_id)
    return session.scalars(wanted.order_by(IdentityCheckRow.id)).all()


def list_patient_notes(session: Session, patient_id: int) -> Sequence[PatientNoteRow]:
    """What was noted about a person, the standing note last."""
    wanted = select(PatientNoteRow).where(PatientNoteRow.patient_id == patient_id)
    return session.scalars(wanted.order_by(PatientNoteRow.number)).all()


def list_circumstances(session: Session, recording_id: int) -> Sequence[CircumstancesRow]:
    """What was written about a recording, the standing words last."""
    wanted = select(CircumstancesRow).where(CircumstancesRow.recording_id == recording_id)
    return session.scalars(wanted.order_by(CircumstancesRow.number)).all()


def get_tell_now(session: Session, item_id: int) -> TellNowRow:
    """One item; raises NotFound."""
    item = session.get(TellNowRow, item_id)
    if item is None:
        raise NotFound(f"there is nothing to be told under number {item_id}; look at the round")
    return item


def list_open_tell_now(session: Session) -> Sequence[TellNowRow]:
    """Items that nobody has closed, oldest first."""
    wanted = select(TellNowRow).where(TellNowRow.closed_at.is_(None))
    return session.scalars(wanted.order_by(TellNowRow.id)).all()


def list_tell_now_of(session: Session, recording_id: int) -> Sequence[TellNowRow]:
    """Items of one recording, open and closed, oldest first."""
    wanted = select(TellNowRow).where(TellNowRow.recording_id == recording_id)
    return session.scalars(wanted.order_by(TellNowRow.id)).all()
