"""Put what a parcel turned out to be into the record: one transaction, all or nothing."""

from __future__ import annotations

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.formats.parcel import Parcel
from couchside.quality.calibration_pulse import CalibrationCheck
from couchside.recording import Recording
from couchside.service.assessment_json import assessment_to_json
from couchside.service.desk import Desk
from couchside.service.place import Place, find_place
from couchside.service.pulses import PULSE_NOTE, file_pulse
from couchside.service.readings import Reading
from couchside.service.telling import open_tell_now
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.begun import BegunArrival
from couchside.store.queries.arrivals import find_parcel, find_problem_of
from couchside.store.queries.recordings import find_recording_with_content, get_highest_number
from couchside.store.tables import (
    ArrivalProblemRow,
    AssessmentRow,
    AttemptRow,
    OrderRow,
    ParcelFileRow,
    ParcelRow,
    RecordingRow,
    RepeatRow,
)
from couchside.store.words import FiledBy
from couchside.version import __version__

_NOBODYS = Place(order=None, filed_by=FiledBy.HAND, because=PULSE_NOTE)


def file_recording(
    session: Session,
    desk: Desk,
    arrival: BegunArrival,
    parcel: Parcel,
    reading: Reading,
    *,
    pulse: CalibrationCheck | None = None,
) -> bool:
    """File a parcel that could be read; whether it is a recording that was not here before.

    `pulse` is the check of a recording that is of a recorder's own pulse, and of nobody.
    """
    parcel_row = _get_or_make_parcel(session, arrival, parcel)
    session.flush()
    _settle_problem(session, desk, parcel_row)
    known = find_recording_with_content(session, _get_content_sha256(reading.recording))
    if known is None:
        _file_new(session, desk, parcel_row, reading, pulse)
        return True
    if known.parcel_id != parcel_row.id:
        session.merge(RepeatRow(parcel_id=parcel_row.id, recording_id=known.id))
    note_return(session, desk, arrival, known)
    return False


def note_return(
    session: Session, desk: Desk, arrival: BegunArrival, recording: RecordingRow
) -> None:
    """Write down that a recording was brought again."""
    write_trail(
        session,
        desk,
        Deed.RECEIVED_AGAIN,
        subject=Subject.RECORDING,
        subject_id=recording.id,
        detail={"parcel": arrival.parcel_sha256, "source": arrival.source.value},
    )


def file_problem(
    session: Session, desk: Desk, arrival: BegunArrival, parcel: Parcel, sentence: str
) -> None:
    """File that a parcel could not be read, and why."""
    row = _get_or_make_parcel(session, arrival, parcel)
    session.flush()
    problem = find_problem_of(session, row.id) or ArrivalProblemRow(parcel=row)
    problem.sentence = sentence
    problem.code_version = __version__
    problem.settled_at = problem.settled_by = None
    session.add(problem)
    session.flush()
    write_trail(
        session,
        desk,
        Deed.NOT_READABLE,
        subject=Subject.PROBLEM,
        subject_id=problem.id,
        detail={
            "parcel": row.sha256,
            "files": [file.name for file in row.files],
            "source": arrival.source.value,
            "sentence": sentence,
        },
    )


def add_attempt(
    session: Session, desk: Desk, order: OrderRow, recording: RecordingRow, filed_by: FiledBy
) -> AttemptRow:
    """Make a recording the newest attempt for an order."""
    attempt = AttemptRow(
        order_id=order.id,
        number=get_next_number(session, order),
        recording=recording,
        filed_by=filed_by,
        filed_at=desk.now(),
        filed_by_person=desk.who,
    )
    recording.unmatched_because = ""
    session.add(attempt)
    session.flush()
    write_trail(
        session,
        desk,
        Deed.FILED,
        subject=Subject.RECORDING,
        subject_id=recording.id,
        detail={"order": order.id, "attempt": attempt.number, "by": filed_by.value},
    )
    return attempt


def get_next_number(session: Session, order: OrderRow) -> int:
    """The number of an order's next attempt; one that was moved away leaves its number unused."""
    return get_highest_number(session, order.id) + 1


def add_assessment(
    session: Session, desk: Desk, recording: RecordingRow, reading: Reading
) -> AssessmentRow:
    """File what this version of the code says of a recording."""
    row = AssessmentRow(
        recording_id=recording.id,
        code_version=reading.assessment.code_version,
        verdict=reading.assessment.verdict,
        document=assessment_to_json(reading.recording, reading.assessment),
        made_at=desk.now(),
    )
    session.add(row)
    session.flush()
    return row


def _file_new(
    session: Session,
    desk: Desk,
    parcel: ParcelRow,
    reading: Reading,
    pulse: CalibrationCheck | None,
) -> None:
    place = _NOBODYS if pulse else find_place(session, desk, reading.recording)
    row = _make_recording(desk, reading.recording, place)
    row.parcel = parcel
    session.add(row)
    session.flush()
    add_assessment(session, desk, row, reading)
    if pulse is None:
        open_tell_now(session, desk, row.id, reading)
    write_trail(
        session,
        desk,
        Deed.RECEIVED,
        subject=Subject.RECORDING,
        subject_id=row.id,
        detail={
            "parcel": parcel.sha256,
            "files": [file.name for file in parcel.files],
            "source": parcel.source.value,
            "verdict": reading.assessment.verdict.value,
            "unmatched_because": place.because,
        },
    )
    if place.order is not None:
        add_attempt(session, desk, place.order, row, place.filed_by)
    if pulse is not None:
        file_pulse(session, desk, row, pulse)


def _get_or_make_parcel(session: Session, arrival: BegunArrival, parcel: Parcel) -> ParcelRow:
    row = find_parcel(session, arrival.parcel_sha256)
    if row is None:
        row = ParcelRow(
            sha256=arrival.parcel_sha256,
            source=arrival.source,
            received_at=arrival.received_at,
            received_by=arrival.received_by,
            files=[
                ParcelFileRow(
                    position=position,
                    name=file.name,
                    sha256=file.sha256,
                    byte_count=len(file.content),
                )
                for position, file in enumerate(parcel.files)
            ],
        )
        session.add(row)
    row.hinted_rate_hz = arrival.hinted_rate_hz
    row.hinted_microvolts_per_unit = arrival.hinted_microvolts_per_unit
    return row


def _settle_problem(session: Session, desk: Desk, parcel: ParcelRow) -> None:
    problem = find_problem_of(session, parcel.id)
    if problem is not None:
        problem.settled_at, problem.settled_by = desk.now(), desk.who


def _make_recording(desk: Desk, recording: Recording, place: Place) -> RecordingRow:
    start, patient, device = recording.start, recording.patient, recording.device
    return RecordingRow(
        content_sha256=_get_content_sha256(recording),
        format_name=recording.origin.format_name if recording.origin else "",
        leads=list(recording.leads),
        rate_hz=recording.rate_hz,
        sample_count=recording.sample_count,
        start_as_stated=start.isoformat() if start else "",
        started_at=desk.to_utc(start) if start else None,
        patient_identifier=patient.identifier.strip(),
        family_name=patient.family_name,
        given_name=patient.given_name,
        birth_date=patient.birth_date,
        age_years=patient.stated_age_years,
        sex=patient.sex,
        accession=recording.order.accession_number.strip(),
        manufacturer=device.manufacturer,
        model=device.model,
        serial_number=device.serial_number,
        software_version=device.software_version,
        station_name=device.station_name,
        unmatched_because=place.because,
    )


def _get_content_sha256(recording: Recording) -> str:
    if recording.origin is None:
        raise InvalidInput("the recording does not say which bytes it was read from")
    return recording.origin.sha256
