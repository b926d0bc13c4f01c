"""`couchside check`: read, check and say so, for one file or for many."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from couchside.cli.check_pages import make_pdf
from couchside.cli.check_wish import CheckWish
from couchside.cli.examine import Checked, Examiner, NotRead, Outcome
from couchside.cli.exits import ExitCode
from couchside.cli.file_answer import exit_code_of_outcome
from couchside.cli.find_recordings import FoundFile, find_recordings, is_folder
from couchside.cli.output_files import check_target, write_whole
from couchside.cli.plain_words import complain_of
from couchside.errors import InvalidInput
from couchside.service.policies import load_policy
from couchside.service.protocols import load_protocol


def run_check(paths: Sequence[Path], wish: CheckWish) -> ExitCode:
    """Check one file, or each of several and of those in folders."""
    examiner = _make_examiner(wish)
    if wish.shows_leads and (len(paths) > 1 or is_folder(paths[0])):
        raise InvalidInput("--leads tells of one recording; name one, or take --json for many")
    if len(paths) == 1 and not is_folder(paths[0]):
        return _check_one(FoundFile(path=paths[0], must_be_recording=True), wish, examiner)
    from couchside.cli.check_many import check_many  # noqa: PLC0415 - one file waits for no table

    return check_many(find_recordings(paths), examiner, wish)


def _make_examiner(wish: CheckWish) -> Examiner:
    """By the policy and the protocol, where they are given.

    Raises
    ------
    InvalidInput
        If one of them is broken, before any file is read.
    """
    return Examiner(
        hints=wish.hints,
        policy=None if wish.policy is None else load_policy(wish.policy),
        protocol=None if wish.protocol is None else load_protocol(wish.protocol),
    )


def _check_one(file: FoundFile, wish: CheckWish, examiner: Examiner) -> ExitCode:
    if wish.pdf is not None:
        check_target(wish.pdf, suffixes=(".pdf",))
    outcome = examiner.examine(file)
    if isinstance(outcome, Checked) and wish.pdf is not None:
        write_whole(wish.pdf, make_pdf(outcome, wish))
    complain_of(str(outcome.error) if isinstance(outcome, NotRead) else outcome.aside)
    _answer_one(outcome, wish)
    return exit_code_of_outcome(outcome)


def _answer_one(outcome: Outcome, wish: CheckWish) -> None:
    """Brought in as it is wanted: the other way of saying it costs a tenth of the start."""
    if wish.as_json:
        from couchside.cli.check_json import print_one  # noqa: PLC0415

        print_one(outcome)
    elif isinstance(outcome, Checked):
        from couchside.cli.check_report import report_recording  # noqa: PLC0415
        from couchside.cli.consoles import make_answer_console  # noqa: PLC0415

        report_recording(
            make_answer_console(),
            outcome.recording,
            outcome.assessment,
            name=str(outcome.file.path),
            colour_code=wish.colour_code,
            shows_leads=wish.shows_leads,
        )
