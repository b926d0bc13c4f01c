"""Reads two recordings, checks both, and says what changed."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from couchside.cli.compare_report import report_comparison
from couchside.cli.consoles import make_answer_console
from couchside.cli.examine import NotRead, examine
from couchside.cli.exits import ExitCode
from couchside.cli.find_recordings import FoundFile
from couchside.cli.output_files import check_target, write_whole
from couchside.cli.plain_words import complain, complain_of
from couchside.formats import ReadHints
from couchside.serial import Comparison, Examined
from couchside.serial import compare as compare_examined
from couchside.service.comparison_json import comparison_to_json


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareWish:
    """What the command line asks for beside the two files."""

    hints: ReadHints
    as_json: bool
    pdf: Path | None
    paper: str


def run_compare(new_path: Path, old_path: Path, wish: CompareWish) -> ExitCode:
    """Compare one recording with an earlier one."""
    if wish.pdf is not None:
        check_target(wish.pdf, suffixes=(".pdf",))
    new, old = (_examine(path, wish.hints) for path in (new_path, old_path))
    if new is None or old is None:
        return ExitCode.UNREADABLE
    comparison = compare_examined(new, old)
    if wish.pdf is not None:
        write_whole(wish.pdf, _draw(new, comparison, wish.paper))
    if wish.as_json:
        document = comparison_to_json(
            new, comparison, new_path=str(new_path), old_path=str(old_path)
        )
        print(json.dumps(document, indent=2, allow_nan=False))  # noqa: T201 - the command's answer
    else:
        names = str(new_path), str(old_path)
        report_comparison(make_answer_console(), new, comparison, names=names)
    return ExitCode.DONE


def _examine(path: Path, hints: ReadHints) -> Examined | None:
    outcome = examine(FoundFile(path=path, must_be_recording=True), hints)
    if isinstance(outcome, NotRead):
        complain(str(outcome.error))
        return None
    complain_of(outcome.aside)
    return Examined(recording=outcome.recording, assessment=outcome.assessment)


def _draw(new: Examined, comparison: Comparison, paper: str) -> bytes:
    from couchside.paper import render_comparison  # noqa: PLC0415 - drawing is not always wanted

    return render_comparison(new, comparison, paper=paper).pdf()
