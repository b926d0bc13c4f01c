"""What the exit codes mean, in one place: the help text and `docs/commands.md` are made from it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum

from couchside.errors import CouchsideError, FormatError, InvalidInput


class ExitCode(IntEnum):
    """How a command ended."""

    DONE = 0
    RECORD_AGAIN = 1
    WRONG_USAGE = 2
    UNREADABLE = 3
    FAULT = 4
    INTERRUPTED = 130
    PIPE_CLOSED = 141


MEANINGS = {
    ExitCode.DONE: "done; for check: every recording may be kept, with or without a remark",
    ExitCode.RECORD_AGAIN: "for check: at least one recording should be recorded again; for audit "
    "verify: the chain does not hold; for backup: a file is damaged",
    ExitCode.WRONG_USAGE: "the command was used wrongly, or its output cannot be written there",
    ExitCode.UNREADABLE: "at least one file could not be read, or a folder holds no recording",
    ExitCode.FAULT: "Couchside itself failed; COUCHSIDE_DEBUG=1 shows where",
    ExitCode.INTERRUPTED: "stopped by Ctrl-C",
    ExitCode.PIPE_CLOSED: "whoever read the output stopped reading",
}
PRECEDENCE = "Where several hold, the highest number counts."


def worst(codes: Iterable[ExitCode]) -> ExitCode:
    """The code that counts where several hold."""
    return max(codes, default=ExitCode.DONE)


def exit_code_of(error: CouchsideError) -> ExitCode:
    """How a command ends that met this error and could not go on."""
    if isinstance(error, FormatError):
        return ExitCode.UNREADABLE
    if isinstance(error, InvalidInput):
        return ExitCode.WRONG_USAGE
    return ExitCode.FAULT
