"""What became of files that were handed in."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Received
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
    files = recording.files if recording else problem.files if problem else ()
    return ReceivedRow(
        names=", ".join(file.name for file in files),
        outcome=say(received.outcome.value),
        sentence=received.sentence,
        person=name_of(recording.patient) if recording else "",
        shape=VERDICT_SHAPES[recording.verdict] if recording else "cut",
        verdict=say(recording.verdict.value) if recording else "",
        address=f"/recordings/{recording.id}" if recording else "",
    )
