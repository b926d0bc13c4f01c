"""How often somebody may try to sign in: pure arithmetic on the tries that failed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

WINDOW = timedelta(minutes=15)

MOST_OF_NAME_FROM_ADDRESS = 5
MOST_FROM_ADDRESS = 30
"""A ward PC is shared, and after a change of password many mistype."""

MOST_OF_NAME = 50
"""High, because a stranger who tries a name from many machines must not lock its owner out soon."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """A try that failed."""

    sign_in_name: str
    address: str
    at: datetime


def find_next_allowed(
    tries: Iterable[Try], *, sign_in_name: str, address: str, now: datetime
) -> datetime | None:
    """When the next try may be made; None means now.

    A try counts for `WINDOW`. Three counts are kept: of the name from that address, from that
    address, and of the name from anywhere.
    """
    recent = [each for each in tries if now - each.at < WINDOW]
    counted = (
        (
            MOST_OF_NAME_FROM_ADDRESS,
            [t for t in recent if t.sign_in_name == sign_in_name and t.address == address],
        ),
        (MOST_FROM_ADDRESS, [t for t in recent if t.address == address]),
        (MOST_OF_NAME, [t for t in recent if t.sign_in_name == sign_in_name]),
    )
    freed = [sorted(t.at for t in found)[-most] for most, found in counted if len(found) >= most]
    return max(freed) + WINDOW if freed else None
