"""Read and check one file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from couchside.cli.find_recordings import FoundFile
from couchside.errors import CouchsideError
from couchside.formats import ReadHints, read
from couchside.quality import Assessment, check
from couchside.recording import Recording


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """A file that was read, and what the check says of it."""

    file: FoundFile
    recording: Recording
    assessment: Assessment


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NotRead:
    """A file that could not be read, and why."""

    file: FoundFile
    error: CouchsideError


Outcome = Checked | NotRead


def examine(file: FoundFile, hints: ReadHints) -> Outcome:
    """Read and check one file."""
    with _NamedInFaults(file.path):
        try:
            recording = read(file.path, hints=hints)
        except CouchsideError as error:
            return NotRead(file=file, error=error)
        return Checked(file=file, recording=recording, assessment=check(recording))


class _NamedInFaults:
    """Lets a fault of Couchside's own say which file it met."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> None:
        return

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        if error is not None:
            error.add_note(f"with {self._path}")
