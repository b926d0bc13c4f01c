"""A parcel arrives: keep its bytes, read it, check it, file it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.errors import Conflict, FormatError, InvalidInput, NotFound
from couchside.formats.hints import NO_HINTS, ReadHints
from couchside.formats.parcel import Parcel
from couchside.service.chains import Chain
from couchside.service.comparing import compare_with_earlier
from couchside.service.derive import derive, get_hints
from couchside.service.desk import Desk
from couchside.service.filing import file_problem, file_recording, note_return
from couchside.service.look_up import find_chain_of, look_up_recording
from couchside.service.policies import choose_policy
from couchside.service.pulses import Pulse, find_pulse, judge_if_pulse
from couchside.service.summaries import ArrivalProblem, OrderSummary, RecordingSummary
from couchside.service.summarise import summarise_problem
from couchside.store.begun import BegunArrival, BegunFile
from couchside.store.queries.arrivals import find_parcel, find_problem_of
from couchside.store.queries.recordings import find_recording_of
from couchside.store.words import Source


class Outcome(StrEnum):
    """What became of a parcel."""

    FILED = "filed"
    UNMATCHED = "unmatched"
    ALREADY_HERE = "already here"
    NOT_READABLE = "not readable"
    PULSE = "calibration pulse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What became of a parcel, in one sentence and in detail.

    `recording` is None exactly where `problem` is not; `order` is None where the recording lies
    under no order.
    """

    outcome: Outcome
    sentence: str
    recording: RecordingSummary | None
    problem: ArrivalProblem | None
    order: OrderSummary | None


def receive(desk: Desk, parcel: Parcel, *, source: Source, hints: ReadHints = NO_HINTS) -> Received:
    """Take a parcel in, whatever it is; its bytes are safe before anything else is tried.

    The same parcel again is the same recording. What cannot be read is kept all the same, and tried
    anew when it comes again.
    """
    arrival = _describe_arrival(desk, parcel, source, hints)
    desk.store.begun.note(arrival)
    for file in parcel.files:
        desk.store.vault.put(file.content)
    return finish_arrival(desk, arrival, parcel)


def is_known(desk: Desk, sha256: str) -> bool:
    """Whether a parcel of that digest is filed already, as a recording or as a problem."""
    with desk.store.reading() as session:
        return find_parcel(session, sha256) is not None


def finish_arrival(desk: Desk, arrival: BegunArrival, parcel: Parcel) -> Received:
    """Read, check and file a parcel whose bytes are safe, and strike the note of its arrival."""
    was_here = _note_if_filed(desk, arrival) or not _file(desk, arrival, parcel)
    desk.store.begun.strike(arrival.parcel_sha256)
    return _report(desk, arrival.parcel_sha256, was_here=was_here)


def _describe_arrival(desk: Desk, parcel: Parcel, source: Source, hints: ReadHints) -> BegunArrival:
    return BegunArrival(
        parcel_sha256=parcel.sha256,
        files=tuple(BegunFile(name=file.name, sha256=file.sha256) for file in parcel.files),
        source=source,
        received_at=desk.now(),
        received_by=desk.who,
        hinted_rate_hz=hints.rate_hz,
        hinted_microvolts_per_unit=hints.microvolts_per_unit,
    )


def _note_if_filed(desk: Desk, arrival: BegunArrival) -> bool:
    with desk.store.writing() as session:
        known = find_recording_of(session, arrival.parcel_sha256)
        if known is None:
            return False
        note_return(session, desk, arrival, known)
        return True


def _file(desk: Desk, arrival: BegunArrival, parcel: Parcel) -> bool:
    """File the parcel; whether it brought something new."""
    try:
        return _read_and_file(desk, arrival, parcel)
    except Conflict:
        # Another process may have filed the same parcel since we looked.
        if _note_if_filed(desk, arrival):
            return False
        raise


def _read_and_file(desk: Desk, arrival: BegunArrival, parcel: Parcel) -> bool:
    try:
        reading = derive(parcel, get_hints(arrival), choose_policy(desk.data_folder))
    except (FormatError, InvalidInput) as error:
        with desk.store.writing() as session:
            file_problem(session, desk, arrival, parcel, str(error))
        return True
    pulse = judge_if_pulse(reading.recording)
    compared = compare_with_earlier(
        desk,
        reading,
        sha256=parcel.sha256,
        identifier="" if pulse else reading.recording.patient.identifier,
    )
    with desk.store.writing() as session:
        is_new = file_recording(session, desk, arrival, parcel, compared.reading, pulse=pulse)
    if is_new:
        desk.readings.keep(parcel.sha256, reading)
    return is_new


def _report(desk: Desk, sha256: str, *, was_here: bool) -> Received:
    with desk.store.reading() as session:
        row = find_recording_of(session, sha256)
        if row is None:
            return _report_problem(session, sha256)
        recording = look_up_recording(session, row)
        chain = find_chain_of(session, row.id)
        pulse = find_pulse(session, row.id)
    if pulse is not None and pulse.is_pulse:
        return _report_pulse(recording, pulse, was_here=was_here)
    outcome = _choose_outcome(chain, was_here=was_here)
    return Received(
        outcome=outcome,
        sentence=_say(outcome, recording, chain),
        recording=recording,
        problem=None,
        order=chain.order if chain else None,
    )


def _report_pulse(recording: RecordingSummary, pulse: Pulse, *, was_here: bool) -> Received:
    whose = f"the calibration pulse of {pulse.recorder_name or 'an unknown recorder'}"
    judged = "passes" if pulse.has_passed else "does not pass"
    return Received(
        outcome=Outcome.ALREADY_HERE if was_here else Outcome.PULSE,
        sentence=f"{recording.files[0].name}: {whose}; it {judged}",
        recording=recording,
        problem=None,
        order=None,
    )


def _choose_outcome(chain: Chain | None, *, was_here: bool) -> Outcome:
    if was_here:
        return Outcome.ALREADY_HERE
    return Outcome.FILED if chain else Outcome.UNMATCHED


def _report_problem(session: Session, sha256: str) -> Received:
    parcel = find_parcel(session, sha256)
    problem = find_problem_of(session, parcel.id) if parcel else None
    if problem is None:
        raise NotFound(f"nothing is filed of the parcel {sha256}; send it again")
    return Received(
        outcome=Outcome.NOT_READABLE,
        sentence=problem.sentence,
        recording=None,
        problem=summarise_problem(problem),
        order=None,
    )


def _say(outcome: Outcome, recording: RecordingSummary, chain: Chain | None) -> str:
    name = recording.files[0].name
    where = _say_where(recording, chain)
    if outcome is Outcome.ALREADY_HERE:
        return f"{name} was here already, {where}"
    return f"{name}: {recording.verdict.value}; {where}"


def _say_where(recording: RecordingSummary, chain: Chain | None) -> str:
    if chain is None:
        return f"under no order, because {recording.note}"
    number = next(each.number for each in chain.attempts if each.recording_id == recording.id)
    return f"attempt {number} for {chain.order.patient.full_name}"
