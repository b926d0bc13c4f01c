"""`couchside check`: read, check and say so, for one file or for many."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.progress import track

from couchside.cli.check_report import report_recording
from couchside.cli.check_table import Line, line_of, line_of_unread, report_lines
from couchside.cli.consoles import make_answer_console, make_progress_console
from couchside.cli.examine import Checked, NotRead, Outcome, examine
from couchside.cli.exits import ExitCode, worst
from couchside.cli.find_recordings import Found, FoundFile, find_recordings
from couchside.cli.output_files import PageFolder, check_target, write_whole
from couchside.cli.plain_words import complain
from couchside.errors import InvalidInput, UnknownFormat
from couchside.formats import ReadHints
from couchside.paper import render
from couchside.quality import Verdict
from couchside.recording import ColourCode
from couchside.service.assessment_json import (
    JsonObject,
    assessment_to_json,
    collection_to_json,
    unreadable_to_json,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckWish:
    """What the command line asks for beside the files."""

    hints: ReadHints
    as_json: bool
    pdf: Path | None
    paper: str
    colour_code: ColourCode


def run_check(paths: Sequence[Path], wish: CheckWish) -> ExitCode:
    """Check one file, or each of several and of those in folders."""
    if len(paths) == 1 and not paths[0].is_dir():
        return _check_one(FoundFile(path=paths[0], was_named=True), wish)
    return _check_many(find_recordings(paths), wish)


def _check_one(file: FoundFile, wish: CheckWish) -> ExitCode:
    if wish.pdf is not None:
        check_target(wish.pdf, suffixes=(".pdf",))
    outcome = examine(file, wish.hints)
    if wish.as_json:
        _print_json(_document(outcome))
    elif isinstance(outcome, Checked):
        report_recording(
            make_answer_console(),
            outcome.recording,
            outcome.assessment,
            name=str(file.path),
            colour_code=wish.colour_code,
        )
    if isinstance(outcome, NotRead):
        complain(str(outcome.error))
    elif wish.pdf is not None:
        write_whole(wish.pdf, _make_pdf(outcome, wish))
    return _exit_code(outcome)


def _check_many(found: Found, wish: CheckWish) -> ExitCode:
    pages = PageFolder(wish.pdf) if wish.pdf is not None else None
    entries: list[_Entry] = []
    passed_over_count = found.passed_over_count
    for outcome in _examine_all(found, wish):
        if _is_no_recording(outcome):
            passed_over_count += 1
            continue
        entries.append(_enter(outcome))
        if pages is not None and isinstance(outcome, Checked):
            pages.write(outcome.file.path, _make_pdf(outcome, wish))
    _report_many(entries, passed_over_count, as_json=wish.as_json)
    if not entries:
        complain("no recording was found there; name a file, or a folder that holds recordings")
        return ExitCode.UNREADABLE
    return worst(entry.exit_code for entry in entries)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """What is kept of one file among many; the samples are let go."""

    line: Line
    document: JsonObject
    exit_code: ExitCode


def _examine_all(found: Found, wish: CheckWish) -> Iterator[Outcome]:
    for folder in found.closed_folders:
        error = InvalidInput(f"the folder {folder} may not be opened; ask for the right to read it")
        yield NotRead(file=FoundFile(path=folder, was_named=True), error=error)
    console = make_progress_console()
    shows = console.is_terminal and len(found.files) > 1
    for file in track(found.files, "Checking", console=console, disable=not shows, transient=True):
        yield examine(file, wish.hints)


def _is_no_recording(outcome: Outcome) -> bool:
    """Whether a file that merely lay in a folder turned out to be something else."""
    return (
        isinstance(outcome, NotRead)
        and not outcome.file.was_named
        and isinstance(outcome.error, UnknownFormat)
    )


def _enter(outcome: Outcome) -> _Entry:
    name = str(outcome.file.path)
    if isinstance(outcome, Checked):
        line = line_of(name, outcome.assessment)
    else:
        line = line_of_unread(name, outcome.error)
    return _Entry(line=line, document=_document(outcome), exit_code=_exit_code(outcome))


def _report_many(entries: Sequence[_Entry], passed_over_count: int, *, as_json: bool) -> None:
    if not as_json:
        lines = [entry.line for entry in entries]
        report_lines(make_answer_console(), lines, passed_over_count=passed_over_count)
        return
    read = [entry.document for entry in entries if entry.exit_code is not ExitCode.UNREADABLE]
    unread = [entry.document for entry in entries if entry.exit_code is ExitCode.UNREADABLE]
    _print_json(collection_to_json(read, unread, passed_over_count=passed_over_count))


def _document(outcome: Outcome) -> JsonObject:
    path = str(outcome.file.path)
    if isinstance(outcome, NotRead):
        return unreadable_to_json(outcome.error, path=path)
    return assessment_to_json(outcome.recording, outcome.assessment, path=path)


def _print_json(document: JsonObject) -> None:
    print(json.dumps(document, indent=2, allow_nan=False))  # noqa: T201 - the command's answer


def _make_pdf(checked: Checked, wish: CheckWish) -> bytes:
    return render(checked.recording, checked.assessment, paper=wish.paper).pdf()


def _exit_code(outcome: Outcome) -> ExitCode:
    if isinstance(outcome, NotRead):
        return ExitCode.UNREADABLE
    if outcome.assessment.verdict is Verdict.RECORD_AGAIN:
        return ExitCode.RECORD_AGAIN
    return ExitCode.DONE
