"""Summaries that take more than one row."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from couchside.service.chains import Chain, load_chains
from couchside.service.summaries import RecordingSummary
from couchside.service.summarise import summarise_recording
from couchside.store.queries.decisions import list_decisions_on_recordings
from couchside.store.queries.orders import get_order
from couchside.store.queries.recordings import find_attempt_of, list_newest_verdicts
from couchside.store.tables import AttemptRow, RecordingRow


def look_up_recordings(
    session: Session, rows: Sequence[RecordingRow]
) -> tuple[RecordingSummary, ...]:
    """Recordings with their newest verdicts and standing decisions, in the order given."""
    ids = [row.id for row in rows]
    verdicts = list_newest_verdicts(session, ids)
    decisions = list_decisions_on_recordings(session, ids)
    return tuple(summarise_recording(row, verdicts[row.id], decisions[row.id]) for row in rows)


def look_up_recording(session: Session, row: RecordingRow) -> RecordingSummary:
    """One recording with its newest verdict and standing decision."""
    return look_up_recordings(session, [row])[0]


def find_chain_of(session: Session, recording_id: int) -> Chain | None:
    """The chain in which a recording is a link."""
    attempt = find_attempt_of(session, recording_id)
    return get_chain(session, attempt) if attempt is not None else None


def get_chain(session: Session, attempt: AttemptRow) -> Chain:
    """The chain of an attempt."""
    return load_chains(session, [get_order(session, attempt.order_id)])[0]
