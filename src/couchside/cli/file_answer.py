"""What is said of one file of many, without its samples: as small as it must be to be kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from couchside.cli.check_pages import make_pdf
from couchside.cli.check_wish import CheckWish
from couchside.cli.examine import Checked, Examiner, NotRead, Outcome
from couchside.cli.exits import ExitCode
from couchside.cli.find_recordings import FoundFile
from couchside.errors import UnknownFormat
from couchside.quality import Verdict

Said = TypeVar("Said")


@dataclass(frozen=True, slots=True, kw_only=True)
class FileAnswer(Generic[Said]):
    """What is said of one file.

    Parameters
    ----------
    path : Path
        The file.
    said : object
        What the answer says of it.
    code : ExitCode
        How the command would end if it were the only one.
    aside : str
        To be said beside the answer; empty where there is nothing.
    page : bytes or None
        Its page to scale, where that is wanted and it was read.
    is_passed_over : bool
        Whether it merely lay in a folder, and turned out to be no recording.
    """

    path: Path
    said: Said
    code: ExitCode
    aside: str = ""
    page: bytes | None = None
    is_passed_over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Answerer(Generic[Said]):
    """Examines files and keeps what is said of them; it can be sent to another process.

    Parameters
    ----------
    examiner : Examiner
        Reads and checks.
    wish : CheckWish
        Whether pages are drawn, and how.
    describe : callable
        What is said of an outcome; a function of a module, so that another process finds it.
    """

    examiner: Examiner
    wish: CheckWish
    describe: Callable[[Outcome], Said]

    def answer(self, file: FoundFile) -> FileAnswer[Said]:
        """Read and check one file, and say so."""
        return self.tell(self.examiner.examine(file))

    def tell(self, outcome: Outcome) -> FileAnswer[Said]:
        """Say what came of a file."""
        return FileAnswer(
            path=outcome.file.path,
            said=self.describe(outcome),
            code=exit_code_of_outcome(outcome),
            aside=outcome.aside if isinstance(outcome, Checked) else "",
            page=self._draw(outcome),
            is_passed_over=_is_no_recording(outcome),
        )

    def _draw(self, outcome: Outcome) -> bytes | None:
        if self.wish.pdf is None or isinstance(outcome, NotRead):
            return None
        return make_pdf(outcome, self.wish)


def exit_code_of_outcome(outcome: Outcome) -> ExitCode:
    """How a command ends that met this file alone."""
    if isinstance(outcome, NotRead):
        return ExitCode.UNREADABLE
    if outcome.assessment.verdict is Verdict.RECORD_AGAIN:
        return ExitCode.RECORD_AGAIN
    return ExitCode.DONE


def _is_no_recording(outcome: Outcome) -> bool:
    """Whether a file that merely lay in a folder turned out to be something else."""
    return (
        isinstance(outcome, NotRead)
        and not outcome.file.must_be_recording
        and isinstance(outcome.error, UnknownFormat)
    )
