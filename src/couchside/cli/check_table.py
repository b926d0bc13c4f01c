"""Many recordings' answers for a person at a terminal: a line each, then the sum of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console
from rich.text import Text

from couchside.cli.consoles import make_answer_console, say
from couchside.cli.examine import NotRead, Outcome
from couchside.cli.plain_words import printable
from couchside.cli.verdict_words import (
    SHAPES,
    STYLES,
    UNREADABLE_SHAPE,
    UNREADABLE_WORD,
    WIDEST_WORD,
    WORDS,
)
from couchside.measures.tell_now import CALL
from couchside.quality.model import Assessment, Finding, Verdict

MAX_REASONS = 2


class TableAnswer:
    """A line for each file, then how many got which verdict."""

    def __init__(self) -> None:
        self._lines: list[Line] = []

    def add(self, line: Line) -> None:
        """Keep one file's line."""
        self._lines.append(line)

    def finish(self, passed_over_count: int) -> None:
        """Print them all."""
        console = make_answer_console()
        widest = max((len(line.name) for line in self._lines), default=0)
        width = min(widest, console.width // 3) if console.is_terminal else widest
        for line in self._lines:
            _print_line(console, line, width)
        if self._lines:
            console.print()
            say(console, Text(_summary(self._lines)))
        if passed_over_count:
            say(console, Text(_passed_over(passed_over_count), style="dim"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One file's line; `verdict` is None where it could not be read."""

    name: str
    verdict: Verdict | None
    why: str


def make_line(outcome: Outcome) -> Line:
    """What a line says of one file."""
    name = printable(str(outcome.file.path))
    if isinstance(outcome, NotRead):
        return Line(name=name, verdict=None, why=printable(str(outcome.error)))
    why = printable(_why(outcome.assessment))
    return Line(name=name, verdict=outcome.assessment.verdict, why=why)


def _why(assessment: Assessment) -> str:
    told = assessment.tell_now.items if assessment.tell_now else ()
    call = f"{CALL}: {'; '.join(item.told for item in told)}. " if told else ""
    return f"{call}{_why_asking(assessment)}".rstrip()


def _why_asking(assessment: Assessment) -> str:
    asking = [finding for finding in assessment.findings if finding.asks is not Verdict.KEEP]
    shown = "; ".join(map(_reason, asking[:MAX_REASONS]))
    more = len(asking) - MAX_REASONS
    return f"{shown}; and {more} more" if more > 0 else shown


def _reason(finding: Finding) -> str:
    where = ", ".join(finding.electrodes) or _leads(finding.leads)
    return f"{finding.kind} {where}".rstrip()


def _leads(leads: Sequence[str]) -> str:
    return "in " + ", ".join(leads) if 0 < len(leads) <= 4 else ""


def _print_line(console: Console, line: Line, width: int) -> None:
    """On a terminal one line, cut at the edge; but why a file was not read is never cut."""
    if line.verdict is not None or not console.is_terminal:
        text = _head(line, width).append(f"  {line.why}".rstrip(), style="default not bold")
        text.rstrip()
        console.print(text, no_wrap=True, overflow="ellipsis")
    else:
        console.print(_head(line, width))
        say(console, Text(line.why), indent=4)


def _head(line: Line, width: int) -> Text:
    shape = SHAPES[line.verdict] if line.verdict else UNREADABLE_SHAPE
    word = WORDS[line.verdict] if line.verdict else UNREADABLE_WORD
    style = STYLES[line.verdict] if line.verdict else ""
    text = Text(f"{shape} {word:<{WIDEST_WORD}}  ", style=style)
    return text.append(f"{_shorten(line.name, width):<{width}}", style="default not bold")


def _shorten(name: str, width: int) -> str:
    """The end of a path tells files apart."""
    return name if len(name) <= width else f"…{name[len(name) - width + 1 :]}"


def _summary(lines: Sequence[Line]) -> str:
    verdicts = [line.verdict for line in lines]
    counts = [f"{verdicts.count(verdict)} {verdict}" for verdict in Verdict]
    if None in verdicts:
        counts.append(f"{verdicts.count(None)} could not be read")
    files = "1 file" if len(lines) == 1 else f"{len(lines)} files"
    return f"{files}: {', '.join(counts)}."


def _passed_over(count: int) -> str:
    files = (
        "1 file that is no recording was"
        if count == 1
        else f"{count} files that are no recordings were"
    )
    return f"{files} passed over."
