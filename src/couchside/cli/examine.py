"""Read and check one file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType

from couchside.cli.find_recordings import FoundFile
from couchside.errors import CouchsideError
from couchside.formats import ReadHints, read
from couchside.measures.protocol import Protocol
from couchside.quality import Assessment, check
from couchside.quality.policy import Policy
from couchside.recording import Recording
from couchside.service.protocols import add_tell_now


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """A file that was read, what the check says of it, and what is to be said beside the answer."""

    file: FoundFile
    recording: Recording
    assessment: Assessment
    aside: str = ""


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
        return Checked(
            file=file,
            recording=recording,
            assessment=check(recording, policy),
            aside=explain_unused_rate(recording, hints),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Examiner:
    """Reads and checks files as the command line wants it.

    Parameters
    ----------
    hints : ReadHints
        Rate and unit, where a file states none.
    policy : Policy or None
        The department's verdict policy; None for the shipped one.
    protocol : Protocol or None
        The department's tell-now list.
    """

    hints: ReadHints
    policy: Policy | None = None
    protocol: Protocol | None = None

    def examine(self, file: FoundFile) -> Outcome:
        """Read, check and judge one file."""
        outcome = examine(file, self.hints, self.policy)
        if isinstance(outcome, NotRead) or self.protocol is None:
            return outcome
        told = add_tell_now(outcome.assessment, outcome.recording, self.protocol)
        return replace(outcome, assessment=told)


def explain_unused_rate(recording: Recording, hints: ReadHints) -> str:
    """Where a rate was given and the file states another, which stands; else nothing."""
    if hints.rate_hz is None or hints.rate_hz == recording.rate_hz:
        return ""
    name = recording.origin.file_name if recording.origin else "the file"
    return (
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
