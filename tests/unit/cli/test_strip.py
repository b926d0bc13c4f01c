"""Times as they are typed on a command line."""

from __future__ import annotations

import pytest

from couchside.cli.strip import parse_clock
from couchside.errors import InvalidInput


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("0", 0), ("10", 10), ("00:10", 10), ("1:02:03", 3723), ("90:00", 5400), ("0:00.5", 0.5)],
)
def test_time_is_read(text: str, seconds: float) -> None:
    assert parse_clock(text) == seconds


@pytest.mark.parametrize("text", ["", "-5", "1:2:3:4", "ten", "1:", "nan", "1e3"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="is no time"):
        parse_clock(text)
