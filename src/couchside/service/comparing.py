"""A recording against the newest kept one of the same person that was taken before it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.errors import FormatError, InvalidInput, StoreError
from couchside.recording import Recording
from couchside.serial import Comparison, Examined
from couchside.serial.check import ComparedAssessment, check_against
from couchside.service.derive import derive, fetch_parcel, get_hints
from couchside.service.desk import Desk
from couchside.service.policies import ChosenPolicy, choose_policy
from couchside.service.readings import Reading
from couchside.store.queries.decisions import list_decisions_on_recordings
from couchside.store.queries.earlier import list_earlier_recordings
from couchside.store.tables import RecordingRow
from couchside.store.words import DecisionKind

MOST_LOOKED_AT = 20
"""So many earlier recordings are looked through for one that was kept."""

_KEPT = frozenset({DecisionKind.KEEP, DecisionKind.KEEP_WITH_REMARK})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Compared:
    """A reading in the light of an earlier one; the last two are None where there is none."""

    reading: Reading
    comparison: Comparison | None = None
    earlier_id: int | None = None


def compare_with_earlier(desk: Desk, reading: Reading, *, sha256: str, identifier: str) -> Compared:
    """Compare a reading with the person's newest kept recording from before it.

    An earlier recording whose bytes are gone or cannot be read any more keeps nobody from the new
    one: there is then no comparison.

    Parameters
    ----------
    desk : Desk
        Where the recordings are filed.
    reading : Reading
        As derived, without any comparison.
    sha256 : str
        Of the reading's parcel.
    identifier : str
        The number of the patient under which it is filed, or else that it states.
    """
    if not identifier.strip():
        return Compared(reading=reading)
    chosen = choose_policy(desk.data_folder)
    with desk.store.reading() as session:
        row = _find_kept(session, desk, reading.recording, identifier.strip())
        if row is None or row.parcel.sha256 == sha256:
            return Compared(reading=reading)
        try:
            assessment = _compare(desk, reading, sha256, row, chosen)
        except (StoreError, FormatError, InvalidInput):
            return Compared(reading=reading)
        return Compared(
            reading=Reading(recording=reading.recording, assessment=assessment),
            comparison=assessment.comparison,
            earlier_id=row.id,
        )


def _compare(
    desk: Desk, reading: Reading, sha256: str, earlier: RecordingRow, chosen: ChosenPolicy
) -> ComparedAssessment:
    """The assessment in the light of an earlier recording, worked out once for the two."""
    key = (sha256, earlier.parcel.sha256, chosen.policy.digest, chosen.problem)
    known = desk.comparisons.find(key)
    if known is not None:
        return known
    new, old = (
        Examined(recording=each.recording, assessment=each.assessment)
        for each in (reading, read_filed(desk, earlier, chosen))
    )
    assessment = check_against(new, [old], chosen.policy)
    desk.comparisons.keep(key, assessment)
    return assessment


def _find_kept(
    session: Session, desk: Desk, recording: Recording, identifier: str
) -> RecordingRow | None:
    before = desk.to_utc(recording.start) if recording.start else desk.now()
    rows = list_earlier_recordings(session, identifier, before, at_most=MOST_LOOKED_AT)
    decisions = list_decisions_on_recordings(session, [row.id for row in rows])
    for row in rows:
        if decisions[row.id] and decisions[row.id][-1].kind in _KEPT:
            return row
    return None


def read_filed(desk: Desk, row: RecordingRow, chosen: ChosenPolicy) -> Reading:
    """A filed recording as the code of today reads it; raises StoreError and FormatError."""
    sha256 = row.parcel.sha256
    reading = desk.readings.find(sha256)
    if reading is None or not chosen.judged(reading.assessment):
        reading = derive(fetch_parcel(desk.store.vault, row.parcel), get_hints(row.parcel), chosen)
        desk.readings.keep(sha256, reading)
    return reading
