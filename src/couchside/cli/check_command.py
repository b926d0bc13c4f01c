"""`couchside check`: read, check and say so, for one file or for many."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Protocol

from rich.console import Console

from couchside.cli.check_json import JsonAnswer, print_one
from couchside.cli.check_report import report_recording
from couchside.cli.check_table import TableAnswer
from couchside.cli.consoles import make_answer_console, make_progress_console
from couchside.cli.examine import Checked, NotRead, Outcome, examine
from couchside.cli.exits import ExitCode, worst
from couchside.cli.find_recordings import Found, FoundFile, find_recordings, is_folder
from couchside.cli.output_files import PageFolder, check_target, write_whole
from couchside.cli.plain_words import complain
from couchside.errors import InvalidInput, UnknownFormat
from couchside.formats import ReadHints
from couchside.quality import Verdict
from couchside.recording import ColourCode
from couchside.service.policies import load_policy
from couchside.service.protocols import add_tell_now, load_protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckWish:
    """What the command line asks for beside the files."""

    hints: ReadHints
    as_json: bool
    pdf: Path | None
    paper: str
    colour_code: ColourCode
    has_evidence: bool = False
    protocol: Path | None = None
    policy: Path | None = None
    shows_leads: bool = False


class ManyAnswer(Protocol):
    """Gathers what is said of each file, and says it."""

    def add(self, outcome: Outcome) -> None:
        """Keep what will be said of one file, and let its samples go."""

    def finish(self, passed_over_count: int) -> None:
        """Say it all."""


class _Examiner:
    """Reads and checks files by the policy and the protocol, where they are given.

    Raises
    ------
    InvalidInput
        If the protocol or the policy is broken, before any file is read.
    """

    def __init__(self, wish: CheckWish) -> None:
        self._hints = wish.hints
        self._protocol = None if wish.protocol is None else load_protocol(wish.protocol)
        self._policy = None if wish.policy is None else load_policy(wish.policy)

    def examine(self, file: FoundFile) -> Outcome:
        """Read, check and judge one file."""
        outcome = examine(file, self._hints, self._policy)
        if isinstance(outcome, NotRead) or self._protocol is None:
            return outcome
        told = add_tell_now(outcome.assessment, outcome.recording, self._protocol)
        return replace(outcome, assessment=told)


def run_check(paths: Sequence[Path], wish: CheckWish) -> ExitCode:
    """Check one file, or each of several and of those in folders."""
    examiner = _Examiner(wish)
    if wish.shows_leads and (len(paths) > 1 or is_folder(paths[0])):
        raise InvalidInput("--leads tells of one recording; name one, or take --json for many")
    if len(paths) == 1 and not is_folder(paths[0]):
        return _check_one(FoundFile(path=paths[0], must_be_recording=True), wish, examiner)
    return _check_many(find_recordings(paths), wish, examiner)


def _check_one(file: FoundFile, wish: CheckWish, examiner: _Examiner) -> ExitCode:
    if wish.pdf is not None:
        check_target(wish.pdf, suffixes=(".pdf",))
    outcome = examiner.examine(file)
    if isinstance(outcome, Checked) and wish.pdf is not None:
        write_whole(wish.pdf, _make_pdf(outcome, wish))
    if isinstance(outcome, NotRead):
        complain(str(outcome.error))
    _answer_one(outcome, wish)
    return _exit_code(outcome)


def _check_many(found: Found, wish: CheckWish, examiner: _Examiner) -> ExitCode:
    pages = PageFolder(wish.pdf) if wish.pdf is not None else None
    answer: ManyAnswer = JsonAnswer() if wish.as_json else TableAnswer()
    codes: list[ExitCode] = []
    passed_over_count = found.passed_over_count
    for outcome in _examine_all(found, examiner):
        if _is_no_recording(outcome):
            passed_over_count += 1
            continue
        if pages is not None and isinstance(outcome, Checked):
            pages.write(outcome.file.path, _make_pdf(outcome, wish))
        answer.add(outcome)
        codes.append(_exit_code(outcome))
    answer.finish(passed_over_count)
    if not codes:
        complain("no recording was found there; name a file, or a folder that holds recordings")
        return ExitCode.UNREADABLE
    return worst(codes)


def _examine_all(found: Found, examiner: _Examiner) -> Iterator[Outcome]:
    for folder in found.closed_folders:
        error = InvalidInput(f"the folder {folder} may not be opened; ask for the right to read it")
        yield NotRead(file=FoundFile(path=folder, must_be_recording=True), error=error)
    console = make_progress_console()
    shows = len(found.files) > 1 and console.is_terminal
    for file in _show_progress(found.files, console) if shows else found.files:
        yield examiner.examine(file)


def _show_progress(files: Sequence[FoundFile], console: Console) -> Iterable[FoundFile]:
    """Brought in here, as the bar costs a fifteenth of the start of a command that shows none."""
    track: Callable[..., Iterable[FoundFile]] = import_module("rich.progress").track
    return track(files, "Checking", console=console, transient=True)


def _is_no_recording(outcome: Outcome) -> bool:
    """Whether a file that merely lay in a folder turned out to be something else."""
    return (
        isinstance(outcome, NotRead)
        and not outcome.file.must_be_recording
        and isinstance(outcome.error, UnknownFormat)
    )


def _answer_one(outcome: Outcome, wish: CheckWish) -> None:
    if wish.as_json:
        print_one(outcome)
    elif isinstance(outcome, Checked):
        report_recording(
            make_answer_console(),
            outcome.recording,
            outcome.assessment,
            name=str(outcome.file.path),
            colour_code=wish.colour_code,
            shows_leads=wish.shows_leads,
        )


def _make_pdf(checked: Checked, wish: CheckWish) -> bytes:
    from couchside.paper import Pages, render, render_evidence  # noqa: PLC0415 - not always wanted

    recording, assessment = checked.recording, checked.assessment
    page = render(recording, assessment, paper=wish.paper)
    evidence = (
        render_evidence(recording, assessment, paper=wish.paper) if wish.has_evidence else None
    )
    return Pages(pages=(page, *(evidence.pages if evidence is not None else ()))).pdf()


def _exit_code(outcome: Outcome) -> ExitCode:
    if isinstance(outcome, NotRead):
        return ExitCode.UNREADABLE
    if outcome.assessment.verdict is Verdict.RECORD_AGAIN:
        return ExitCode.RECORD_AGAIN
    return ExitCode.DONE
