"""What is written in versions: nobody writes over a version that they have not seen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from couchside.errors import Conflict
from couchside.service.desk import Desk


class Version(Protocol):
    """One version of something; `number` counts from 1."""

    @property
    def number(self) -> int:
        """Its place among the versions."""
        ...

    @property
    def who(self) -> str:
        """Who wrote it."""
        ...


def check_newest_seen(versions: Sequence[Version], seen_number: int, *, done: str) -> None:
    """Refuse to write after a version that was not seen; raises Conflict, saying who wrote it.

    `versions` stand oldest first, `seen_number` is 0 where none was seen, and `done` says what
    somebody did meanwhile.
    """
    newest = versions[-1] if versions else None
    if (newest.number if newest else 0) != seen_number:
        who = newest.who if newest else "somebody"
        raise Conflict(f"{who} {done} meanwhile; look again and repeat if need be")


def sign_version(desk: Desk, seen_number: int) -> dict[str, object]:
    """What every version bears beside its words: its number, after the one seen, who and when."""
    return {"number": seen_number + 1, "who": desk.who, "written_at": desk.now()}
