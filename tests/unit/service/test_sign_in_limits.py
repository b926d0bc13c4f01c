from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from couchside.service.sign_in_limits import (
    MOST_FROM_ADDRESS,
    MOST_OF_NAME,
    MOST_OF_NAME_FROM_ADDRESS,
    WINDOW,
    Try,
    find_next_allowed,
)

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


def tries(count: int, *, name: str = "ada", address: str = "here", every_s: int = 1) -> list[Try]:
    """The last `count` tries, the newest one just before NOW."""
    return [
        Try(sign_in_name=name, address=address, at=NOW - timedelta(seconds=every_s * (n + 1)))
        for n in range(count)
    ]


def find(made: list[Try]) -> datetime | None:
    return find_next_allowed(made, sign_in_name="ada", address="here", now=NOW)


def test_before_the_limit_nobody_waits() -> None:
    assert find([]) is None
    assert find(tries(MOST_OF_NAME_FROM_ADDRESS - 1)) is None


def test_at_the_limit_one_waits_until_the_oldest_counts_no_more() -> None:
    made = tries(MOST_OF_NAME_FROM_ADDRESS)
    assert find(made) == made[-1].at + WINDOW


def test_tries_over_the_limit_lengthen_nothing_but_by_their_own_age() -> None:
    made = tries(MOST_OF_NAME_FROM_ADDRESS + 3)
    assert find(made) == made[MOST_OF_NAME_FROM_ADDRESS - 1].at + WINDOW


def test_old_tries_count_no_more() -> None:
    assert find(tries(50, every_s=int(WINDOW.total_seconds()))) is None


@pytest.mark.parametrize(
    ("made", "most"),
    [
        ([Try(sign_in_name=f"n{n}", address="here", at=NOW) for n in range(60)], MOST_FROM_ADDRESS),
        ([Try(sign_in_name="ada", address=f"a{n}", at=NOW) for n in range(60)], MOST_OF_NAME),
    ],
)
def test_many_names_from_one_machine_and_one_name_from_many_have_their_own_limits(
    made: list[Try], most: int
) -> None:
    assert find(made[: most - 1]) is None
    assert find(made[:most]) == NOW + WINDOW


def test_others_elsewhere_do_not_make_one_wait() -> None:
    assert find(tries(100, name="eve", address="there")) is None
