"""`couchside check` of several files: each read, checked and told of in their order."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from importlib import import_module
from typing import TYPE_CHECKING, Protocol, TypeVar

from couchside.cli.check_json import JsonAnswer, make_document
from couchside.cli.check_table import TableAnswer, make_line
from couchside.cli.check_wish import CheckWish
from couchside.cli.consoles import make_progress_console
from couchside.cli.examine import Examiner, NotRead
from couchside.cli.exits import ExitCode, worst
from couchside.cli.file_answer import Answerer, FileAnswer
from couchside.cli.find_recordings import Found, FoundFile
from couchside.cli.output_files import PageFolder
from couchside.cli.plain_words import complain, complain_of
from couchside.errors import InvalidInput

if TYPE_CHECKING:
    from concurrent.futures import Future

    from couchside.cli.check_pool import Submit

FILES_A_WORKER = 50
"""A process takes a second or two to start, in which one that runs checks some fifty recordings."""
MOST_WORKERS = 32
"""Each takes some 100 MB."""

MOST_WAITING = 200
"""Files that are handed out or answered before their turn: one long recording holds nobody up, and
a million files take no more room than these."""

Item = TypeVar("Item")
Answer = TypeVar("Answer")
Said = TypeVar("Said")
Heard_contra = TypeVar("Heard_contra", contravariant=True)


class ManyAnswer(Protocol[Heard_contra]):
    """Gathers what is said of each file, and says it."""

    def add(self, said: Heard_contra, /) -> None:
        """Keep what is said of one file."""

    def finish(self, passed_over_count: int) -> None:
        """Say it all."""


def check_many(found: Found, examiner: Examiner, wish: CheckWish) -> ExitCode:
    """Check files and say what came of each, as a table or as JSON."""
    if wish.as_json:
        to_json = Answerer(examiner=examiner, wish=wish, describe=make_document)
        return _say_of_all(found, to_json, JsonAnswer())
    to_line = Answerer(examiner=examiner, wish=wish, describe=make_line)
    return _say_of_all(found, to_line, TableAnswer())


def _say_of_all(found: Found, answerer: Answerer[Said], whole: ManyAnswer[Said]) -> ExitCode:
    folder = answerer.wish.pdf
    pages = None if folder is None else PageFolder(folder)
    codes: list[ExitCode] = []
    passed_over_count = found.passed_over_count
    with _open_pool(len(found.files)) as submit:
        for answer in _answer_all(found, answerer, submit):
            if answer.is_passed_over:
                passed_over_count += 1
                continue
            complain_of(answer.aside)
            if pages is not None and answer.page is not None:
                pages.write(answer.path, answer.page)
            whole.add(answer.said)
            codes.append(answer.code)
    whole.finish(passed_over_count)
    if not codes:
        complain("no recording was found there; name a file, or a folder that holds recordings")
        return ExitCode.UNREADABLE
    return worst(codes)


def count_workers(file_count: int) -> int:
    """How many processes pay for so many files: no more than there are cores; 1 is this one."""
    return max(1, min(_count_cores(), file_count // FILES_A_WORKER, MOST_WORKERS))


def _count_cores() -> int:
    """Those that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _open_pool(file_count: int) -> AbstractContextManager[Submit | None]:
    """None where this process is enough."""
    workers = count_workers(file_count)
    if workers < 2:
        return nullcontext()
    from couchside.cli.check_pool import open_pool  # noqa: PLC0415 - few files need none

    return open_pool(workers)


def _answer_all(
    found: Found, answerer: Answerer[Said], submit: Submit | None
) -> Iterator[FileAnswer[Said]]:
    for folder in found.closed_folders:
        error = InvalidInput(f"the folder {folder} may not be opened; ask for the right to read it")
        file = FoundFile(path=folder, must_be_recording=True)
        yield answerer.tell(NotRead(file=file, error=error))
    answers = (
        map(answerer.answer, found.files)
        if submit is None
        else answer_in_order(submit, answerer.answer, found.files)
    )
    yield from _show_progress(answers, len(found.files))


def answer_in_order(
    submit: Submit, work: Callable[[Item], Answer], items: Iterable[Item]
) -> Iterator[Answer]:
    """What the work gives for each item, in the order of the items; raises what it raises."""
    waiting: deque[Future[Answer]] = deque()
    for item in items:
        waiting.append(submit(work, item))
        if len(waiting) >= MOST_WAITING:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


def _show_progress(answers: Iterator[FileAnswer[Said]], count: int) -> Iterable[FileAnswer[Said]]:
    """Brought in here, as the bar costs a fifteenth of the start of a command that shows none."""
    console = make_progress_console()
    if count < 2 or not console.is_terminal:
        return answers
    track: Callable[..., Iterable[FileAnswer[Said]]] = import_module("rich.progress").track
    return track(answers, "Checking", total=count, console=console, transient=True)
