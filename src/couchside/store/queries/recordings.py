"""Recordings, their assessments and their place in the chains."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from sqlalchemy import and_, exists, func, or_, select
from sqlalchemy.orm import Session, defaultload

from couchside.errors import NotFound
from couchside.quality.model import Verdict
from couchside.store.queries.pulses import is_of_a_pulse
from couchside.store.tables import (
    AssessmentRow,
    AttemptRow,
    DecisionRow,
    OrderRow,
    ParcelRow,
    PulseRow,
    RecordingRow,
    RepeatRow,
)

_WITHOUT_FILES = (
    defaultload(AttemptRow.recording).defaultload(RecordingRow.parcel).lazyload(ParcelRow.files)
)
"""Of attempts: nobody asks a chain for the files of its recordings."""


def get_recording(session: Session, recording_id: int) -> RecordingRow:
    """One recording; raises NotFound."""
    recording = session.get(RecordingRow, recording_id)
    if recording is None:
        raise NotFound(f"there is no recording {recording_id}; choose one from the round")
    return recording


def find_recording_of(session: Session, parcel_sha256: str) -> RecordingRow | None:
    """The recording that a parcel holds, be it in another wrapping."""
    recording = session.scalar(
        select(RecordingRow).join(RecordingRow.parcel).where(ParcelRow.sha256 == parcel_sha256)
    )
    return recording or session.scalar(
        select(RecordingRow)
        .join(RepeatRow, RepeatRow.recording_id == RecordingRow.id)
        .join(ParcelRow, ParcelRow.id == RepeatRow.parcel_id)
        .where(ParcelRow.sha256 == parcel_sha256)
    )


def find_recording_with_content(session: Session, content_sha256: str) -> RecordingRow | None:
    """The recording that was read from those very files."""
    return session.scalar(select(RecordingRow).where(RecordingRow.content_sha256 == content_sha256))


def list_unmatched(session: Session, *, since: datetime, until: datetime) -> Sequence[RecordingRow]:
    """Recordings under no order and not of a recorder's own pulse, newest first.

    All on which nobody has decided, and of the others those that were received in a span of time.
    """
    is_decided = exists().where(DecisionRow.recording_id == RecordingRow.id)
    is_of_the_span = and_(ParcelRow.received_at >= since, ParcelRow.received_at < until)
    wanted = (
        select(RecordingRow)
        .join(RecordingRow.parcel)
        .outerjoin(AttemptRow, AttemptRow.recording_id == RecordingRow.id)
        .where(AttemptRow.id.is_(None), or_(~is_decided, is_of_the_span), ~is_of_a_pulse())
        .order_by(RecordingRow.id.desc())
    )
    return session.scalars(wanted).all()


def find_attempt_of(session: Session, recording_id: int) -> AttemptRow | None:
    """The place of a recording in a chain; one of a recorder's pulse has none."""
    return session.scalar(
        select(AttemptRow).where(
            AttemptRow.recording_id == recording_id, ~is_of_a_pulse(AttemptRow.recording_id)
        )
    )


def get_highest_number(session: Session, order_id: int) -> int:
    """Of the attempts that are or were in an order's chain; 0 where there are none."""
    highest = select(func.max(AttemptRow.number)).where(AttemptRow.order_id == order_id)
    return session.scalar(highest) or 0


def list_attempts(
    session: Session, order_ids: Collection[int]
) -> Mapping[int, Sequence[AttemptRow]]:
    """The chains of orders, first attempt first; an order without attempts has an empty one."""
    wanted = (
        select(AttemptRow)
        .where(AttemptRow.order_id.in_(order_ids), ~is_of_a_pulse(AttemptRow.recording_id))
        .order_by(AttemptRow.order_id, AttemptRow.number)
        .options(_WITHOUT_FILES)
    )
    chains: defaultdict[int, list[AttemptRow]] = defaultdict(list)
    for attempt in session.scalars(wanted):
        chains[attempt.order_id].append(attempt)
    return chains


def stamp_chains(session: Session) -> tuple[int, ...]:
    """Tells whether any chain has got another link or lost one."""
    links = select(func.count(AttemptRow.id), func.max(AttemptRow.id))
    said = select(func.max(PulseRow.id)).scalar_subquery()
    return tuple(number or 0 for number in session.execute(links.add_columns(said)).one())


def find_assessment(session: Session, recording_id: int, code_version: str) -> AssessmentRow | None:
    """What one version of the code says of a recording."""
    return session.scalar(
        select(AssessmentRow).where(
            AssessmentRow.recording_id == recording_id, AssessmentRow.code_version == code_version
        )
    )


def get_newest_assessment(session: Session, recording_id: int) -> AssessmentRow:
    """The assessment made last; raises NotFound."""
    newest = session.scalar(
        select(AssessmentRow)
        .where(AssessmentRow.recording_id == recording_id)
        .order_by(AssessmentRow.id.desc())
        .limit(1)
    )
    if newest is None:
        raise NotFound(f"recording {recording_id} was never assessed; open it to have it done")
    return newest


def list_recordings_of(
    session: Session, patient_id: int, *, besides_order: int, at_most: int
) -> Sequence[RecordingRow]:
    """A person's recordings for other orders, newest first."""
    wanted = (
        select(RecordingRow)
        .join(AttemptRow, AttemptRow.recording_id == RecordingRow.id)
        .join(OrderRow, OrderRow.id == AttemptRow.order_id)
        .where(OrderRow.patient_id == patient_id, OrderRow.id != besides_order, ~is_of_a_pulse())
        .order_by(RecordingRow.id.desc())
        .limit(at_most)
    )
    return session.scalars(wanted).all()


def list_newest_verdicts(session: Session, recording_ids: Collection[int]) -> dict[int, Verdict]:
    """The verdict made last on each recording."""
    if not recording_ids:
        return {}
    wanted = (
        select(AssessmentRow.recording_id, AssessmentRow.verdict)
        .where(AssessmentRow.recording_id.in_(recording_ids))
        .order_by(AssessmentRow.id)
    )
    return dict(session.execute(wanted).all())


def list_newest_documents(
    session: Session, recording_ids: Collection[int]
) -> dict[int, dict[str, object]]:
    """The assessment made last of each recording, as it was written down."""
    if not recording_ids:
        return {}
    wanted = (
        select(AssessmentRow.recording_id, AssessmentRow.document)
        .where(AssessmentRow.recording_id.in_(recording_ids))
        .order_by(AssessmentRow.id)
    )
    return dict(session.execute(wanted).all())
