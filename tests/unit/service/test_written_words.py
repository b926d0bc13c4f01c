"""Words about a recording and notes about a person: kept in versions, never over another's."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside.errors import Conflict, InvalidInput, NotFound
from couchside.recording import Circumstances, Electrode, Placement, Position
from couchside.service.circumstances import find_written, write_circumstances
from couchside.service.desk import Desk
from couchside.service.knowing import (
    Condition,
    PatientNotes,
    find_what_to_know,
    write_patient_notes,
)
from couchside.service.receiving import Received
from couchside.service.summaries import OrderSummary
from couchside.service.trail import list_trail

Drop = Callable[..., Received]
WORDS = Circumstances(
    placement=Placement.TORSO,
    electrodes={Electrode.C3: "a hand lower, a dressing", Electrode.RA: ""},
    position=Position.SITTING,
    symptoms="palpitations",
    conditions="tremor",
    remark="Ü and “quotes”",
)
NOTES = PatientNotes(
    placement=Placement.RIGHT_SIDED,
    electrodes=(Electrode.RA, Electrode.C3),
    conditions=(Condition.TREMOR, Condition.PACEMAKER),
    words="turns to the left",
)


def test_words_about_a_recording_stand_in_versions(
    desk: Desk, order: OrderSummary, drop: Drop
) -> None:
    recording = drop().recording
    assert recording is not None
    first = write_circumstances(desk, recording.id, WORDS, seen_number=0)
    assert (first.number, first.who) == (1, "Robin")
    assert first.words.electrodes == {Electrode.C3: "a hand lower, a dressing"}
    assert (first.words.position, first.words.remark) == (Position.SITTING, "Ü and “quotes”")
    assert list_trail(desk, count=1)[0].detail == {
        "number": 1,
        "placement": "limb electrodes on the torso",
        "electrodes": {"C3": "a hand lower, a dressing"},
        "position": "sitting",
        "symptoms": "palpitations",
        "conditions": "tremor",
        "remark": "Ü and “quotes”",
    }
    with pytest.raises(Conflict, match="Robin wrote about this recording meanwhile"):
        write_circumstances(desk, recording.id, WORDS, seen_number=0)
    assert write_circumstances(desk, recording.id, Circumstances(), seen_number=1).number == 2
    with desk.store.reading() as session:
        standing = find_written(session, recording.id)
    assert standing is not None
    assert (standing.number, standing.words) == (2, Circumstances())
    with pytest.raises(InvalidInput, match="symptoms"):
        write_circumstances(desk, recording.id, Circumstances(symptoms="x" * 2001), seen_number=2)
    with pytest.raises(NotFound):
        write_circumstances(desk, 99, WORDS, seen_number=0)


def test_notes_about_a_person_stand_in_versions(desk: Desk, order: OrderSummary) -> None:
    assert find_what_to_know(desk, order.id).written is None
    first = write_patient_notes(desk, order.id, NOTES, seen_number=0)
    assert (first.number, first.notes, first.who) == (1, NOTES, "Robin")
    assert list_trail(desk, count=1)[0].detail == {
        "number": 1,
        "placement": "right-sided chest leads",
        "electrodes": ["RA", "C3"],
        "conditions": ["tremor", "pacemaker"],
        "words": "turns to the left",
    }
    with pytest.raises(Conflict, match="Robin noted something meanwhile"):
        write_patient_notes(desk, order.id, NOTES, seen_number=0)
    write_patient_notes(desk, order.id, PatientNotes(), seen_number=1)
    known = find_what_to_know(desk, order.id)
    assert known.written is not None
    assert (known.written.number, known.written.notes) == (2, PatientNotes())
    assert known.placement is Placement.STANDARD
