"""The outermost shell: whatever happens inside ends as one sentence and an exit code."""

from __future__ import annotations

import errno
import os
import sys
import warnings
from collections.abc import Sequence
from pathlib import Path

from couchside.cli.application import PipeClosed, StoppedByCtrlC
from couchside.cli.commands import run
from couchside.cli.exits import ExitCode, exit_code_of
from couchside.cli.plain_words import complain
from couchside.errors import CouchsideError

DEBUG_VARIABLE = "COUCHSIDE_DEBUG"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line, by default this process's own, and give its exit code."""
    _fill_closed_streams()
    _never_fail_to_print()
    if arguments is None:
        _keep_warnings_from_people()
    try:
        code = run(sys.argv[1:] if arguments is None else arguments)
        sys.stdout.flush()
    except CouchsideError as error:
        return _end_with(str(error), exit_code_of(error))
    except (StoppedByCtrlC, KeyboardInterrupt):
        return _end_with("stopped", ExitCode.INTERRUPTED)
    except (PipeClosed, BrokenPipeError):
        return _end_silently()
    except Exception as error:
        if _is_debugging():
            raise
        if isinstance(error, OSError) and error.errno in _NO_ROOM:
            _drop_what_is_unwritten()
            return _end_with(
                f"the answer could not be written ({error.strerror}); make room and ask again",
                ExitCode.WRONG_USAGE,
            )
        return _end_with(_describe_fault(error), ExitCode.FAULT)
    return code


_NO_ROOM = {errno.ENOSPC, errno.EDQUOT}


def _fill_closed_streams() -> None:
    """Where the caller has closed stdin, stdout or stderr, Python has None: give it nowhere."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115 - to the end


def _never_fail_to_print() -> None:
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _keep_warnings_from_people() -> None:
    """Python's warnings are for developers; ``python -W`` and PYTHONWARNINGS still ask for them."""
    if not sys.warnoptions and not _is_debugging():
        warnings.simplefilter("ignore")


def _is_debugging() -> bool:
    return os.environ.get(DEBUG_VARIABLE) == "1"


def _end_with(sentence: str, code: ExitCode) -> int:
    complain(sentence)
    return code


def _end_silently() -> int:
    _drop_what_is_unwritten()
    return ExitCode.PIPE_CLOSED


def _drop_what_is_unwritten() -> None:
    """Spare the complaint that Python makes when it flushes at its end and cannot."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


def _describe_fault(error: Exception) -> str:
    where = "".join(f" {note}" for note in getattr(error, "__notes__", ()))
    return (
        f"Couchside itself failed{where} ({type(error).__name__}: {error}); "
        f"run it again with {DEBUG_VARIABLE}=1 to see where, and report that"
    )
