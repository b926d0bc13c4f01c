"""What became of files that were handed in."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Outcome, Received
from couchside.web.wording import VERDICT_SHAPES, name_of, say


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivedRow:
    """One parcel; `address` is empty where it could not be read."""

    names: str
    outcome: str
    sentence: str
    person: str
    shape: str
    verdict: str
    address: str


def view_received(received: Received) -> ReceivedRow:
    """One parcel as the list of outcomes shows it."""
    recording, problem = received.recording, received.problem
    is_pulse = received.outcome is Outcome.PULSE
    files = recording.files if recording else problem.files if problem else ()
    return ReceivedRow(
        names=", ".join(file.name for file in files),
        outcome=say(received.outcome.value),
        sentence=received.sentence,
        person=_name(received),
        shape="" if is_pulse else VERDICT_SHAPES[recording.verdict] if recording else "cut",
        verdict=say(recording.verdict.value) if recording and not is_pulse else "",
        address=f"/recordings/{recording.id}" if recording else "",
    )


def _name(received: Received) -> str:
    """Whose it is; a recorder's pulse is nobody's."""
    if received.recording is None:
        return ""
    if received.outcome is Outcome.PULSE:
        return say(received.outcome.value)
    return name_of(received.recording.patient)
