"""The audit trail: who did what to what, written in the same transaction as the deed.

Each entry holds the SHA-256 of the one before it. Writers take turns, so the chain never forks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.service.desk import Desk
from couchside.store import Store
from couchside.store.chain import BEGINNING, Break, Link, find_break, hash_link
from couchside.store.queries.trail import (
    as_link,
    find_newest_change_id,
    get_end_of_chain,
    list_last_entries,
    read_chain,
)
from couchside.store.tables import AuditEntryRow


class Deed(StrEnum):
    """What was done."""

    RECEIVED = "received"
    RECEIVED_AGAIN = "received again"
    NOT_READABLE = "found not readable"
    CUT_OFF = "found cut off by a crash"
    FILED = "filed under an order"
    MOVED = "moved to another order"
    ASSESSED_AGAIN = "assessed again"
    DECIDED = "decided"
    DESCRIBED = "described"
    NOTED = "noted"
    IDENTITY_CHECKED = "checked the identity"
    TOLD = "told"
    ROUND_CLOSED = "closed the round"
    ORDERED = "ordered"
    PATIENT_COMPLETED = "completed"
    IDENTITY_AMENDED = "amended the identity"
    PROBLEM_SET_ASIDE = "set aside"
    EXPORTED = "exported"
    PRINTED = "printed"
    SETTINGS_CHANGED = "changed"
    VIEWED = "viewed"
    SIGNED_IN = "signed in"
    SIGN_IN_REFUSED = "was refused sign-in"
    SIGNED_OUT = "signed out"
    UNLOCK_REFUSED = "was refused unlocking"
    ACCOUNT_ADDED = "added"
    ACCOUNT_CHANGED = "changed account"
    PASSWORD_CHANGED = "changed password"  # noqa: S105 - a deed, no password
    PIN_CHANGED = "changed PIN"
    LINK_MADE = "made a one-time link"
    CONNECTED = "connected with single sign-on"
    PULSE_SAID = "said whether it is a calibration pulse"
    TAKEN_OFF = "taken off its order"
    RECORDER_REGISTERED = "registered"
    RECORDER_CHANGED = "changed recorder"
    RECORDER_RETIRED = "retired"
    READINESS_CHECKED = "checked readiness"
    FAULT_OPENED = "opened a fault"
    FAULT_NOTED = "noted on a fault"
    FAULT_CLOSED = "closed a fault"


class Subject(StrEnum):
    """To what it was done."""

    PARCEL = "parcel"
    RECORDING = "recording"
    ORDER = "order"
    ROUND = "round"
    PATIENT = "patient"
    PROBLEM = "arrival problem"
    SETTINGS = "settings"
    ACCOUNT = "account"
    RECORDER = "recorder"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailCheck:
    """What the check of the chain found: `broken` is the first entry that does not hold."""

    count: int
    end_sha256: str
    broken: Break | None
    holds_noted: bool | None


def get_change_mark(desk: Desk) -> int:
    """A number that is another one whenever anything was done since; looking is no doing.

    A desk that shows things as of a mark stays at it.
    """
    if desk.as_of is not None:
        return desk.as_of
    with desk.store.reading() as session:
        return load_change_mark(session)


def load_change_mark(session: Session) -> int:
    """The same, in a transaction that is under way."""
    return find_newest_change_id(session, looking=Deed.VIEWED.value) or 0


def write_trail(
    session: Session,
    desk: Desk,
    deed: Deed,
    *,
    subject: Subject,
    subject_id: int | str,
    detail: Mapping[str, object] | None = None,
) -> None:
    """Add an entry; it stands if and only if the session's changes stand."""
    session.flush()  # the entry follows whatever this session has written before
    link = Link(
        number=0,
        at=desk.now(),
        who=desk.who,
        account=desk.account,
        address=desk.address,
        what=deed.value,
        subject_kind=subject.value,
        subject_id=str(subject_id),
        detail=dict(detail or {}),
        previous_sha256=get_end_of_chain(session),
    )
    session.add(_make_row(replace(link, sha256=hash_link(link))))
    session.flush()


def check_trail(desk: Desk, *, noted_sha256: str = "") -> TrailCheck:
    """Walk the whole chain; a digest noted earlier must be in it, or entries were cut off."""
    return check_chain(desk.store, noted_sha256=noted_sha256)


def check_chain(store: Store, *, noted_sha256: str = "") -> TrailCheck:
    """As `check_trail`, where there is no desk yet."""
    walk = _Walk(noted_sha256)
    with store.reading() as session:
        broken = find_break(walk.count(read_chain(session)))
    return TrailCheck(
        count=walk.seen,
        end_sha256=walk.end_sha256,
        broken=broken,
        holds_noted=walk.has_met_noted if noted_sha256 else None,
    )


def list_trail(desk: Desk, *, count: int) -> tuple[Link, ...]:
    """What was done last, oldest first."""
    with desk.store.reading() as session:
        return tuple(map(as_link, list_last_entries(session, count)))


class _Walk:
    """Counts the links that pass by."""

    def __init__(self, noted_sha256: str) -> None:
        self.seen = 0
        self.end_sha256 = BEGINNING
        self.has_met_noted = noted_sha256 == BEGINNING  # which comes before every chain
        self._noted = noted_sha256

    def count(self, links: Iterable[Link]) -> Iterator[Link]:
        for link in links:
            self.seen += 1
            self.end_sha256 = link.sha256
            self.has_met_noted |= link.sha256 == self._noted
            yield link


def _make_row(link: Link) -> AuditEntryRow:
    return AuditEntryRow(
        at=link.at,
        who=link.who,
        account=link.account,
        address=link.address,
        what=link.what,
        subject_kind=link.subject_kind,
        subject_id=link.subject_id,
        detail=dict(link.detail),
        previous_sha256=link.previous_sha256,
        sha256=link.sha256,
    )
