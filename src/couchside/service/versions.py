"""What is written in versions: nobody writes over a version that they have not seen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from couchside.errors import Conflict


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
