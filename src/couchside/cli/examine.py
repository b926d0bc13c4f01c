"""Read and check one file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from couchside.cli.find_recordings import FoundFile
from couchside.cli.plain_words import complain
from couchside.errors import CouchsideError
from couchside.formats import ReadHints, read
from couchside.quality import Assessment, check
from couchside.quality.policy import Policy
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


def examine(file: FoundFile, hints: ReadHints, policy: Policy | None = None) -> Outcome:
    """Read and check one file; without a policy, by the shipped one."""
    with _NamedInFaults(file.path):
        try:
            recording = read(file.path, hints=hints)
        except CouchsideError as error:
            return NotRead(file=file, error=error)
        note_unused_rate(recording, hints)
        return Checked(file=file, recording=recording, assessment=check(recording, policy))


def note_unused_rate(recording: Recording, hints: ReadHints) -> None:
    """Say so where a rate was given and the file states another, which stands."""
    if hints.rate_hz is not None and hints.rate_hz != recording.rate_hz:
        name = recording.origin.file_name if recording.origin else "the file"
        complain(
            f"{name} states {recording.rate_hz:g} Hz itself, so that --rate "
            f"{hints.rate_hz:g} was not used"
        )


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
