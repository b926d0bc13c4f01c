"""The chain of hashes over the audit trail: whoever changes an entry breaks every one after it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

BEGINNING = "0" * 64
"""What the first entry names as the one before it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One entry, for the chain and for whoever reads it: all that it says, and the two digests."""

    number: int
    at: datetime
    who: str
    account: str
    address: str
    what: str
    subject_kind: str
    subject_id: str
    detail: Mapping[str, object]
    previous_sha256: str
    sha256: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """The first entry that is not as it was written, and what is wrong with it."""

    number: int
    sentence: str


def hash_link(link: Link) -> str:
    """The SHA-256 of an entry's canonical JSON, which holds the digest of the entry before it.

    Canonical: keys in order, no blanks, UTF-8, moments in UTC to the microsecond. The entry's
    number is the database's own and is not hashed; the order is in the digests.
    """
    said = {
        "account": link.account,
        "address": link.address,
        "at": link.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "detail": link.detail,
        "previous": link.previous_sha256,
        "subject_id": link.subject_id,
        "subject_kind": link.subject_kind,
        "what": link.what,
        "who": link.who,
    }
    canonical = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def find_break(links: Iterable[Link]) -> Break | None:
    """The first entry that was changed, or before which one is missing; None where all hold.

    Entries cut off at the end leave a chain that holds: compare its last digest with one noted
    elsewhere, such as in a backup.
    """
    previous = BEGINNING
    for link in links:
        if link.previous_sha256 != previous:
            return Break(
                number=link.number,
                sentence="does not follow the entry before it: one was removed, added or changed",
            )
        if hash_link(link) != link.sha256:
            return Break(number=link.number, sentence="was changed after it was written")
        previous = link.sha256
    return None
