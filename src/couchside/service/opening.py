"""Everything that a page about one recording shows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.quality.model import Assessment
from couchside.recording import Recording, add_circumstances
from couchside.serial import Comparison
from couchside.service.circumstances import WrittenCircumstances, find_written
from couchside.service.comparing import Compared, compare_with_earlier, read_filed
from couchside.service.desk import Desk
from couchside.service.filing import add_assessment
from couchside.service.look_up import get_chain, look_up_recording
from couchside.service.owned_files import stamp_owned_files
from couchside.service.policies import choose_policy
from couchside.service.protocols import judge_by_department
from couchside.service.pulses import NOBODYS, Pulse, find_pulse
from couchside.service.readings import Reading
from couchside.service.summaries import (
    AttemptSummary,
    DecisionSummary,
    OrderSummary,
    RecordingSummary,
    State,
)
from couchside.service.summarise import summarise_decision
from couchside.service.telling import TellNowEntry, list_told_of
from couchside.service.trail import Deed, Subject, get_change_mark, write_trail
from couchside.store.queries.decisions import list_decisions_on_recordings
from couchside.store.queries.orders import get_order
from couchside.store.queries.pulses import find_standing_pulse
from couchside.store.queries.recordings import find_assessment, find_attempt_of, get_recording
from couchside.store.tables import RecordingRow


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenedRecording:
    """One recording with its samples, its assessment and its place in the chain.

    `order` and `attempt_number` are None where the recording lies under no order, and `attempts`
    is then empty; `filed_by_person` is who filed it, or was at the desk when it found its order.
    `decisions` are those on this recording, oldest first; the last one stands. `written` is how it
    was taken, in a person's words; `to_tell` is what is and was to be told of it. `comparison`
    is with the recording `earlier_id` of the same person; both are None where no earlier one was
    kept. `on_order` is the decision that stands on the order itself. `pulse` is what was said of
    its being a recorder's own pulse, None where nothing was.
    """

    summary: RecordingSummary
    recording: Recording
    assessment: Assessment
    order: OrderSummary | None
    order_state: State | None
    on_order: DecisionSummary | None
    attempt_number: int | None
    attempts: tuple[AttemptSummary, ...]
    decisions: tuple[DecisionSummary, ...]
    filed_by_person: str = ""
    written: WrittenCircumstances | None = None
    to_tell: tuple[TellNowEntry, ...] = ()
    comparison: Comparison | None = None
    earlier_id: int | None = None
    pulse: Pulse | None = None

    @property
    def is_pulse(self) -> bool:
        """Whether it stands as one of a recorder's own pulse, and is nobody's."""
        return self.pulse is not None and self.pulse.is_pulse

    @property
    def described(self) -> Recording:
        """The recording with what a person wrote about it, for whatever leaves the house."""
        if self.written is None:
            return self.recording
        return add_circumstances(self.recording, self.written.words)

    @property
    def decision(self) -> DecisionSummary | None:
        """The decision that stands."""
        return self.decisions[-1] if self.decisions else None

    @property
    def decision_number(self) -> int:
        """What `decide` wants as `seen_number`: 0 before the first decision."""
        return self.decision.number if self.decision else 0


LARGEST_REMEMBERED_BYTES = 4 * 2**20
"""A longer one than some minutes is held by `RecentReadings` alone, which counts its bytes."""


def open_recording(desk: Desk, recording_id: int) -> OpenedRecording:
    """One recording, decoded from its bytes and assessed by the code of today.

    An assessment by another version of the code or by another policy stays, and today's is filed
    beside it. Raises NotFound where there is no recording of that number or its bytes are gone,
    StoreError where they have changed on the disk.
    """
    key = ("recording", recording_id, stamp_owned_files(desk.data_folder))
    opened = desk.remembered.recall(
        get_change_mark(desk), key, partial(_open_recording, desk, recording_id)
    )
    if opened.recording.microvolts.nbytes > LARGEST_REMEMBERED_BYTES:
        desk.remembered.forget(key)
    return opened


def open_assessment(desk: Desk, recording_id: int) -> Assessment:
    """What the page about a recording says of it, without the rest of that page; raises as it."""
    key = ("assessment", recording_id, stamp_owned_files(desk.data_folder))
    return desk.remembered.recall(
        get_change_mark(desk), key, partial(_open_assessment, desk, recording_id)
    )


def check_is_persons(opened: OpenedRecording) -> None:
    """Raises InvalidInput for a recording of a pulse, which is printed under nobody's name."""
    if opened.is_pulse:
        raise InvalidInput(NOBODYS)


def _open_assessment(desk: Desk, recording_id: int) -> Assessment:
    reading = _get_compared(desk, recording_id).reading
    return judge_by_department(desk, reading.assessment, reading.recording)


def _open_recording(desk: Desk, recording_id: int) -> OpenedRecording:
    compared = _get_compared(desk, recording_id)
    _file_assessment_once(desk, recording_id, compared.reading)
    with desk.store.reading() as session:
        return _gather(desk, session, get_recording(session, recording_id), compared)


def _get_compared(desk: Desk, recording_id: int) -> Compared:
    """The reading beside the earlier recording of the person whom it is filed under."""
    with desk.store.reading() as session:
        row = get_recording(session, recording_id)
        identifier, sha256 = _find_identifier(session, row), row.parcel.sha256
        reading = read_filed(desk, row, choose_policy(desk.data_folder))
    return compare_with_earlier(desk, reading, sha256=sha256, identifier=identifier)


def _find_identifier(session: Session, row: RecordingRow) -> str:
    """The patient number that a recording is filed under, else the one it states."""
    attempt = find_attempt_of(session, row.id)
    if attempt is not None:
        return get_order(session, attempt.order_id).patient.identifier
    return "" if find_standing_pulse(session, row.id) is not None else row.patient_identifier


def _file_assessment_once(desk: Desk, recording_id: int, reading: Reading) -> None:
    version = reading.assessment.code_version
    with desk.store.reading() as session:
        if find_assessment(session, recording_id, version):
            return
    with desk.store.writing() as session:
        if find_assessment(session, recording_id, version):
            return
        row = get_recording(session, recording_id)
        add_assessment(session, desk, row, reading)
        write_trail(
            session,
            desk,
            Deed.ASSESSED_AGAIN,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={"version": version, "verdict": reading.assessment.verdict.value},
        )


def _gather(desk: Desk, session: Session, row: RecordingRow, compared: Compared) -> OpenedRecording:
    reading = compared.reading
    attempt = find_attempt_of(session, row.id)
    chain = get_chain(session, attempt) if attempt is not None else None
    attempts = chain.attempts if chain else ()
    decisions = list_decisions_on_recordings(session, [row.id])[row.id]
    return OpenedRecording(
        summary=look_up_recording(session, row),
        recording=reading.recording,
        assessment=judge_by_department(desk, reading.assessment, reading.recording),
        order=chain.order if chain else None,
        order_state=chain.state if chain else None,
        on_order=chain.on_order if chain else None,
        attempt_number=next(
            (each.number for each in attempts if each.recording_id == row.id), None
        ),
        attempts=attempts,
        decisions=tuple(summarise_decision(decision) for decision in decisions),
        filed_by_person=attempt.filed_by_person if attempt is not None else "",
        written=find_written(session, row.id),
        to_tell=list_told_of(session, row.id),
        comparison=compared.comparison,
        earlier_id=compared.earlier_id,
        pulse=find_pulse(session, row.id),
    )
