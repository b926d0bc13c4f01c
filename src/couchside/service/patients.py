"""Everything that was recorded of one person, and any two of it side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from sqlalchemy.orm import Session

from couchside.errors import FormatError, InvalidInput, NotFound, StoreError
from couchside.measures import MeasureName
from couchside.recording import Patient
from couchside.serial import Comparison, Examined
from couchside.serial.compare import compare
from couchside.service.comparing import read_filed
from couchside.service.desk import Desk
from couchside.service.look_up import look_up_recordings
from couchside.service.policies import choose_policy
from couchside.service.summaries import Amendment, RecordingSummary
from couchside.service.summarise import summarise_amendments, summarise_patient
from couchside.store.queries.earlier import list_recordings_of
from couchside.store.queries.orders import find_person, list_numbers
from couchside.store.queries.recordings import list_newest_documents
from couchside.store.words import DecisionKind
from couchside.waves import RepresentativeBeat

MOST_LISTED = 200
"""So many recordings of one person are listed, the newest."""

MOST_DRAWN = 6
"""So many beats stand side by side, the newest."""

TREND_MEASURES = (
    MeasureName.HEART_RATE,
    MeasureName.PR_INTERVAL,
    MeasureName.QRS_DURATION,
    MeasureName.QT_INTERVAL,
    MeasureName.QTC_FRIDERICIA,
)
"""QTc by one formula throughout: the formula to quote may differ between two rates."""

_KEPT = frozenset({DecisionKind.KEEP, DecisionKind.KEEP_WITH_REMARK})


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledValue:
    """A measure as it was written down when the recording was assessed; or why there is none."""

    value: float | None
    half_width: float | None
    unit: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One recording of a person; `at` is its start in UTC, or its arrival where none is stated."""

    summary: RecordingSummary
    at: datetime
    values: Mapping[MeasureName, FiledValue]

    @property
    def is_kept(self) -> bool:
        """Whether a person has decided to keep it."""
        decision = self.summary.decision
        return decision is not None and decision.kind in _KEPT


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A person and their recordings, the newest first.

    `patient` is as the department knows the person, with every amendment, else as the newest
    recording states. `numbers` are all that mean this person, the standing one first.
    """

    patient: Patient
    visits: tuple[Visit, ...]
    numbers: tuple[str, ...]
    amendments: tuple[Amendment, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VisitBeat:
    """The representative beat of one recording; None where there is none or its bytes are gone."""

    at: datetime
    beat: RepresentativeBeat | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pair:
    """Two recordings of one person, the later against the earlier."""

    patient: Patient
    new_id: int
    old_id: int
    new: Examined
    comparison: Comparison


def open_patient(desk: Desk, identifier: str) -> History:
    """All recordings of a patient number; raises NotFound where nobody has it."""
    number = identifier.strip()
    with desk.store.reading() as session:
        known = find_person(session, number) if number else None
        rows = list_recordings_of(session, number, at_most=MOST_LISTED) if number else ()
        summaries = look_up_recordings(session, rows)
        documents = list_newest_documents(session, [row.id for row in rows])
        if known is None and not summaries:
            raise NotFound(f"nobody has the patient number {number!r}; look at how it is written")
        patient = summarise_patient(known) if known else summaries[0].patient
        amendments = summarise_amendments(known) if known else ()
        numbers = list_numbers(session, number)
    visits = tuple(
        Visit(summary=each, at=_find_moment(desk, each), values=_read_values(documents[each.id]))
        for each in summaries
    )
    return History(patient=patient, visits=visits, numbers=numbers, amendments=amendments)


def list_beats(desk: Desk, identifier: str) -> tuple[VisitBeat, ...]:
    """The representative beats of a person's newest recordings, the oldest of them first."""
    chosen = choose_policy(desk.data_folder)
    with desk.store.reading() as session:
        rows = list_recordings_of(session, identifier.strip(), at_most=MOST_DRAWN)
        summaries = look_up_recordings(session, rows)
        beats = []
        for row, summary in zip(rows, summaries, strict=True):
            try:
                beat = read_filed(desk, row, chosen).assessment.waves.representative
            except (StoreError, FormatError, InvalidInput):
                beat = None
            beats.append(VisitBeat(at=_find_moment(desk, summary), beat=beat))
    return tuple(reversed(beats))


def compare_two(desk: Desk, identifier: str, *, one_id: int, other_id: int) -> Pair:
    """Compare two recordings of a person, whichever is named first.

    Raises InvalidInput where they are the same one or not both of that patient number, NotFound and
    StoreError where bytes are gone or have changed.
    """
    if one_id == other_id:
        raise InvalidInput("that is the same recording twice; choose two different ones")
    history = open_patient(desk, identifier)
    found = [each for each in history.visits if each.summary.id in {one_id, other_id}]
    if len(found) != 2:
        raise InvalidInput("the two recordings are not both of this patient number; choose again")
    new_id, old_id = (each.summary.id for each in found)
    with desk.store.reading() as session:
        new, old = _examine(session, desk, identifier, (new_id, old_id))
    return Pair(
        patient=history.patient,
        new_id=new_id,
        old_id=old_id,
        new=new,
        comparison=compare(new, old),
    )


def _examine(
    session: Session, desk: Desk, identifier: str, ids: tuple[int, int]
) -> tuple[Examined, Examined]:
    chosen = choose_policy(desk.data_folder)
    rows = {
        row.id: row for row in list_recordings_of(session, identifier.strip(), at_most=MOST_LISTED)
    }
    new, old = (read_filed(desk, rows[each], chosen) for each in ids)
    return (
        Examined(recording=new.recording, assessment=new.assessment),
        Examined(recording=old.recording, assessment=old.assessment),
    )


def _find_moment(desk: Desk, summary: RecordingSummary) -> datetime:
    return desk.to_utc(summary.start) if summary.start is not None else summary.received_at


def _read_values(document: Mapping[str, object]) -> Mapping[MeasureName, FiledValue]:
    """The measures that are followed, out of an assessment as `assessment_json` writes it."""
    listed = document.get("measures")
    found = {
        str(each.get("name")): each
        for each in (listed if isinstance(listed, Sequence) else ())
        if isinstance(each, dict)
    }
    return MappingProxyType(
        {name: _read_value(found[name.value]) for name in TREND_MEASURES if name.value in found}
    )


def _read_value(written: Mapping[str, object]) -> FiledValue:
    return FiledValue(
        value=_as_number(written.get("value")),
        half_width=_as_number(written.get("uncertainty")),
        unit=str(written.get("unit") or ""),
        reason=str(written.get("reason") or ""),
    )


def _as_number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
