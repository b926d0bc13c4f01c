"""What the exit codes mean."""

from __future__ import annotations

import pytest

from couchside.cli.exits import ExitCode, exit_code_of, worst
from couchside.errors import Conflict, CorruptFile, CouchsideError, InvalidInput, UnknownFormat


@pytest.mark.parametrize(
    ("codes", "expected"),
    [
        ([], ExitCode.DONE),
        ([ExitCode.DONE, ExitCode.DONE], ExitCode.DONE),
        ([ExitCode.RECORD_AGAIN, ExitCode.DONE], ExitCode.RECORD_AGAIN),
        ([ExitCode.RECORD_AGAIN, ExitCode.UNREADABLE, ExitCode.DONE], ExitCode.UNREADABLE),
    ],
)
def test_the_highest_number_counts(codes: list[ExitCode], expected: ExitCode) -> None:
    assert worst(codes) is expected


@pytest.mark.parametrize(
    ("error", "expected"),
    [
        (UnknownFormat("no"), ExitCode.UNREADABLE),
        (CorruptFile("no"), ExitCode.UNREADABLE),
        (InvalidInput("no"), ExitCode.WRONG_USAGE),
        (Conflict("no"), ExitCode.FAULT),
    ],
)
def test_an_error_that_ends_a_command_has_its_code(
    error: CouchsideError, expected: ExitCode
) -> None:
    assert exit_code_of(error) is expected
