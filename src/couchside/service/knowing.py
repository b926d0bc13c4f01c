"""What to know of a person before recording: what people noted, and what earlier recordings say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.quality.model import Verdict
from couchside.recording import ELECTRODES, Electrode, Placement
from couchside.service.desk import Desk
from couchside.service.text_limits import LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen, sign_version
from couchside.store.queries.bedside import list_circumstances, list_patient_notes
from couchside.store.queries.orders import get_order
from couchside.store.queries.recordings import get_newest_assessment, list_recordings_of
from couchside.store.tables import PatientNoteRow, RecordingRow

MOST_LOOKED_AT = 12
"""Earlier recordings, newest first; older ones say little about today's electrodes."""


class Condition(StrEnum):
    """What stays with a person and changes how an ECG is taken or read."""

    TREMOR = "tremor"
    AMPUTATION = "amputation"
    DEXTROCARDIA = "dextrocardia"
    PACEMAKER = "pacemaker"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientNotes:
    """What people noted for the next recording; `electrodes` are those that gave trouble."""

    placement: Placement = Placement.NOT_STATED
    electrodes: tuple[Electrode, ...] = ()
    conditions: tuple[Condition, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenNotes:
    """The notes that stand; `number` counts the versions from 1."""

    number: int
    notes: PatientNotes
    who: str
    written_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierPlacement:
    """An earlier recording was taken with another placement than the standard one."""

    recording_id: int
    recorded_at: datetime
    placement: Placement


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierTrouble:
    """A finding of an earlier recording asked for another one; `finding` is its kind."""

    recording_id: int
    recorded_at: datetime
    finding: str
    electrodes: tuple[Electrode, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatToKnow:
    """What is known of a person before recording; what recordings say is newest first."""

    written: WrittenNotes | None
    placements: tuple[EarlierPlacement, ...]
    troubles: tuple[EarlierTrouble, ...]

    @property
    def placement(self) -> Placement:
        """The placement to look up first: as noted, else as last time, else the standard one."""
        if self.written is not None and self.written.notes.placement is not Placement.NOT_STATED:
            return self.written.notes.placement
        return self.placements[0].placement if self.placements else Placement.STANDARD


def write_patient_notes(
    desk: Desk, order_id: int, notes: PatientNotes, *, seen_number: int
) -> WrittenNotes:
    """Put notes on the person of an order in the place of those that were seen.

    `seen_number` is 0 where none stood; the earlier ones stay. Raises NotFound, InvalidInput where
    the text is too long, and Conflict where somebody else wrote meanwhile.
    """
    check_length("note", notes.words, LONGEST_TEXT)
    said = _encode(notes)
    with desk.store.writing() as session:
        patient_id = get_order(session, order_id).patient_id
        check_newest_seen(
            list_patient_notes(session, patient_id), seen_number, done="noted something"
        )
        row = PatientNoteRow(patient_id=patient_id, **said, **sign_version(desk, seen_number))
        session.add(row)
        detail = {"number": row.number, **said}
        write_trail(
            session,
            desk,
            Deed.NOTED,
            subject=Subject.PATIENT,
            subject_id=patient_id,
            detail=detail,
        )
        return _summarise(row)


def find_what_to_know(desk: Desk, order_id: int) -> WhatToKnow:
    """What is known of the person of an order; raises NotFound."""
    with desk.store.reading() as session:
        patient_id = get_order(session, order_id).patient_id
        rows = list_patient_notes(session, patient_id)
        earlier = list_recordings_of(
            session, patient_id, besides_order=order_id, at_most=MOST_LOOKED_AT
        )
        documents = {row.id: get_newest_assessment(session, row.id).document for row in earlier}
        return WhatToKnow(
            written=_summarise(rows[-1]) if rows else None,
            placements=tuple(
                placement
                for row in earlier
                if (placement := _find_placement(session, row, documents[row.id]))
            ),
            troubles=tuple(
                trouble for row in earlier for trouble in _list_troubles(row, documents[row.id])
            ),
        )


def _encode(notes: PatientNotes) -> dict[str, object]:
    """The notes as the row holds them and the trail tells them."""
    return {
        "placement": notes.placement,
        "electrodes": [each.value for each in notes.electrodes],
        "conditions": [each.value for each in notes.conditions],
        "words": notes.words,
    }


def _summarise(row: PatientNoteRow) -> WrittenNotes:
    return WrittenNotes(
        number=row.number,
        notes=PatientNotes(
            placement=row.placement,
            electrodes=tuple(Electrode(each) for each in row.electrodes),
            conditions=tuple(Condition(each) for each in row.conditions),
            words=row.words,
        ),
        who=row.who,
        written_at=row.written_at,
    )


def _find_placement(
    session: Session, row: RecordingRow, document: Mapping[str, object]
) -> EarlierPlacement | None:
    """As a person wrote it, else as the file states it, where the reader must be told."""
    written = list_circumstances(session, row.id)
    placement = written[-1].placement if written else Placement.NOT_STATED
    if placement is Placement.NOT_STATED:
        placement = _read_placement(document)
    if not placement.needs_a_banner:
        return None
    return EarlierPlacement(recording_id=row.id, recorded_at=_moment_of(row), placement=placement)


def _read_placement(document: Mapping[str, object]) -> Placement:
    stated = document.get("recording")
    word = stated.get("placement") if isinstance(stated, dict) else None
    return Placement(word) if word in set(Placement) else Placement.NOT_STATED


def _list_troubles(row: RecordingRow, document: Mapping[str, object]) -> Iterator[EarlierTrouble]:
    """The findings that asked for another recording."""
    findings = document.get("findings")
    for finding in findings if isinstance(findings, list) else ():
        if finding["asks"] == Verdict.RECORD_AGAIN.value:
            named = set(finding["electrodes"])
            yield EarlierTrouble(
                recording_id=row.id,
                recorded_at=_moment_of(row),
                finding=str(finding["kind"]),
                electrodes=tuple(each for each in ELECTRODES if each.value in named),
            )


def _moment_of(row: RecordingRow) -> datetime:
    return row.started_at or row.parcel.received_at
