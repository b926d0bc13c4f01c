"""A person writes how a recording was taken."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from couchside.recording import Circumstances, Electrode
from couchside.service.desk import Desk
from couchside.service.text_limits import LONGEST_NAME, LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.service.versions import check_newest_seen, sign_version
from couchside.store.queries.bedside import list_circumstances
from couchside.store.queries.recordings import get_recording
from couchside.store.tables import CircumstancesRow


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenCircumstances:
    """What stands written about a recording; `number` counts the versions from 1."""

    number: int
    words: Circumstances
    who: str
    written_at: datetime


def write_circumstances(
    desk: Desk, recording_id: int, words: Circumstances, *, seen_number: int
) -> WrittenCircumstances:
    """Put words in the place of those that the person saw; the earlier ones stay.

    `seen_number` is 0 where none stood. Raises NotFound, InvalidInput where a text is too long, and
    Conflict where somebody else wrote meanwhile.
    """
    _check(words)
    said = _encode(words)
    with desk.store.writing() as session:
        recording = get_recording(session, recording_id)
        check_newest_seen(
            list_circumstances(session, recording.id),
            seen_number,
            done="wrote about this recording",
        )
        row = CircumstancesRow(recording_id=recording.id, **said, **sign_version(desk, seen_number))
        session.add(row)
        detail = {"number": row.number, **said}
        write_trail(
            session,
            desk,
            Deed.DESCRIBED,
            subject=Subject.RECORDING,
            subject_id=recording.id,
            detail=detail,
        )
        return _summarise(row)


def find_written(session: Session, recording_id: int) -> WrittenCircumstances | None:
    """The words that stand; None where nobody wrote any."""
    rows = list_circumstances(session, recording_id)
    return _summarise(rows[-1]) if rows else None


def _check(words: Circumstances) -> None:
    for name in ("symptoms", "conditions", "remark"):
        check_length(name, getattr(words, name), LONGEST_TEXT)
    for electrode, where in words.electrodes.items():
        check_length(f"place of {electrode}", where, LONGEST_NAME)


def _encode(words: Circumstances) -> dict[str, object]:
    """The words as the row holds them and the trail tells them."""
    return {
        "placement": words.placement,
        "electrodes": {each.value: where for each, where in words.electrodes.items() if where},
        "position": words.position,
        "symptoms": words.symptoms,
        "conditions": words.conditions,
        "remark": words.remark,
    }


def _summarise(row: CircumstancesRow) -> WrittenCircumstances:
    return WrittenCircumstances(
        number=row.number,
        words=Circumstances(
            placement=row.placement,
            electrodes={Electrode(each): str(where) for each, where in row.electrodes.items()},
            position=row.position,
            symptoms=row.symptoms,
            conditions=row.conditions,
            remark=row.remark,
        ),
        who=row.who,
        written_at=row.written_at,
    )
