"""A recording of a recorder's own pulse: known at arrival, judged, and never a patient's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.quality.calibration_pulse import CalibrationCheck, check_calibration
from couchside.quality.pulse_recording import is_pulse_recording
from couchside.recording import Device, Recording
from couchside.service.comparing import read_filed
from couchside.service.desk import Desk
from couchside.service.policies import choose_policy
from couchside.service.readings import Reading
from couchside.service.recorders import find_recorder_of
from couchside.service.telling import close_all_tellings, open_all_tellings_again, open_tell_now
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen
from couchside.store.queries.pulses import find_standing_pulse, list_pulse_sayings
from couchside.store.queries.recorders import get_recorder
from couchside.store.queries.recordings import find_attempt_of, get_recording
from couchside.store.tables import AttemptRow, PulseRow, RecorderRow, RecordingRow

PULSE_NOTE = "it is a recorder’s own calibration pulse"
NOBODYS = (
    "the recording is of a recorder’s own pulse and nobody’s; if it is somebody’s, say on its page "
    "that it is no calibration pulse"
)
NO_PULSE_NOTE = "somebody said that it is no calibration pulse"
BY_ITS_SIGNAL = "by its signal"


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseSaying:
    """What a person says of a recording.

    `seen_number` is the number of what the person saw standing, 0 for nothing. `recorder_id` is
    None where the file states the recorder, or nobody knows it. `because` is wanted for what lies
    under an order.
    """

    is_pulse: bool
    seen_number: int
    recorder_id: int | None = None
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """What stands of a recording; `failures` are by lead, and empty where the pulse passes."""

    number: int
    is_pulse: bool
    has_passed: bool
    failures: Mapping[str, str]
    recorder_id: int | None
    recorder_name: str
    is_by_signal: bool
    who: str
    said_at: datetime


def judge_if_pulse(recording: Recording) -> CalibrationCheck | None:
    """The check of the pulse, where the signal is of one and of nobody."""
    return check_calibration(recording) if is_pulse_recording(recording) else None


def file_pulse(
    session: Session, desk: Desk, row: RecordingRow, check: CalibrationCheck
) -> PulseRow:
    """Write down at arrival that a recording is of a pulse, whose, and what it comes to."""
    recorder = find_recorder_of(session, _stated_device(row))
    return _add(session, desk, row, _say_of(check, recorder), number=1, because=BY_ITS_SIGNAL)


def say_pulse(desk: Desk, recording_id: int, saying: PulseSaying) -> Pulse:
    """Put a person's word, that a recording is of a pulse or is not, in place of what was seen.

    What is of a pulse leaves its order, and nothing of it is to be told any more; what is not is
    somebody's: it is back under the order that it left, or waits to be filed under one.

    Raises NotFound, InvalidInput where it lies under an order and no reason is given, and Conflict
    where somebody else spoke meanwhile.
    """
    check_length("reason", saying.because, LONGEST_TEXT)
    reading = _read(desk, recording_id)
    with desk.store.writing() as session:
        row = get_recording(session, recording_id)
        check_newest_seen(list_pulse_sayings(session, row.id), saying.seen_number, done="spoke")
        if saying.is_pulse:
            said = _take_as_pulse(session, desk, row, saying, reading)
        else:
            said = _take_as_persons(session, desk, row, reading)
        number, because = saying.seen_number + 1, saying.because.strip()
        pulse = _add(session, desk, row, said, number=number, because=because)
        if find_attempt_of(session, row.id) is not None:
            row.unmatched_because = ""
        return summarise_pulse(session, pulse)


def find_pulse(session: Session, recording_id: int) -> Pulse | None:
    """What stands of a recording; None where nothing was ever said."""
    said = list_pulse_sayings(session, recording_id)
    return summarise_pulse(session, said[-1]) if said else None


def check_no_pulse(session: Session, recording_id: int) -> None:
    """Raises InvalidInput for a recording of a pulse, which is nobody's."""
    if find_standing_pulse(session, recording_id) is not None:
        raise InvalidInput(NOBODYS)


def summarise_pulse(session: Session, row: PulseRow) -> Pulse:
    """What was said of a recording as the use cases hand it out."""
    recorder = get_recorder(session, row.recorder_id) if row.recorder_id is not None else None
    return Pulse(
        number=row.number,
        is_pulse=row.is_pulse,
        has_passed=row.has_passed,
        failures={lead: str(said) for lead, said in row.failures.items()},
        recorder_id=row.recorder_id,
        recorder_name=recorder.name if recorder else "",
        is_by_signal=row.because == BY_ITS_SIGNAL,
        who=row.who,
        said_at=row.said_at,
    )


def _read(desk: Desk, recording_id: int) -> Reading:
    with desk.store.reading() as session:
        return read_filed(
            desk, get_recording(session, recording_id), choose_policy(desk.data_folder)
        )


def _take_as_pulse(
    session: Session, desk: Desk, row: RecordingRow, saying: PulseSaying, reading: Reading
) -> PulseRow:
    attempt = find_attempt_of(session, row.id)
    if attempt is not None:
        _take_off_order(session, desk, attempt, saying.because.strip())
    close_all_tellings(session, desk, row.id, because=PULSE_NOTE)
    row.unmatched_because = PULSE_NOTE
    recorder = (
        get_recorder(session, saying.recorder_id)
        if saying.recorder_id is not None
        else find_recorder_of(session, _stated_device(row))
    )
    return _say_of(check_calibration(reading.recording), recorder)


def _take_off_order(session: Session, desk: Desk, attempt: AttemptRow, because: str) -> None:
    if not because:
        raise InvalidInput(
            "the recording lies under an order; write why it is a pulse and not this person’s"
        )
    left = {"from_order": attempt.order_id, "from_attempt": attempt.number}
    write_trail(
        session,
        desk,
        Deed.TAKEN_OFF,
        subject=Subject.RECORDING,
        subject_id=attempt.recording_id,
        detail={**left, "reason": because},
    )


def _take_as_persons(session: Session, desk: Desk, row: RecordingRow, reading: Reading) -> PulseRow:
    row.unmatched_because = NO_PULSE_NOTE
    open_all_tellings_again(session, row.id, because=PULSE_NOTE)
    open_tell_now(session, desk, row.id, reading)
    return PulseRow(is_pulse=False, has_passed=False, failures={}, recorder_id=None)


def _say_of(check: CalibrationCheck, recorder: RecorderRow | None) -> PulseRow:
    return PulseRow(
        is_pulse=True,
        has_passed=check.has_passed,
        failures={each.lead: "; ".join(each.failures) for each in check.leads if each.failures},
        recorder_id=recorder.id if recorder else None,
    )


def _add(
    session: Session, desk: Desk, row: RecordingRow, said: PulseRow, *, number: int, because: str
) -> PulseRow:
    said.recording_id, said.number, said.because = row.id, number, because
    said.who, said.said_at = desk.who, desk.now()
    session.add(said)
    session.flush()
    write_trail(
        session,
        desk,
        Deed.PULSE_SAID,
        subject=Subject.RECORDING,
        subject_id=row.id,
        detail={
            "number": said.number,
            "is_pulse": said.is_pulse,
            "has_passed": said.has_passed,
            "failures": said.failures,
            "recorder": said.recorder_id,
            "because": said.because,
        },
    )
    return said


def _stated_device(row: RecordingRow) -> Device:
    return Device(
        manufacturer=row.manufacturer,
        model=row.model,
        serial_number=row.serial_number,
        station_name=row.station_name,
    )
