"""Many recordings' answers for a person at a terminal: a line each, then the sum of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console
from rich.text import Text

from couchside.cli.plain_words import printable
from couchside.cli.verdict_words import (
    SHAPES,
    STYLES,
    UNREADABLE_SHAPE,
    UNREADABLE_WORD,
    WIDEST_WORD,
    WORDS,
)
from couchside.errors import CouchsideError
from couchside.quality.model import Assessment, Finding, Verdict

MAX_REASONS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One file's line; `verdict` is None where it could not be read."""

    name: str
    verdict: Verdict | None
    why: str


def line_of(name: str, assessment: Assessment) -> Line:
    """The line of a recording that was checked."""
    return Line(name=name, verdict=assessment.verdict, why=_why(assessment))


def line_of_unread(name: str, error: CouchsideError) -> Line:
    """The line of a file that could not be read."""
    return Line(name=name, verdict=None, why=str(error))


def report_lines(console: Console, lines: Sequence[Line], *, passed_over_count: int) -> None:
    """Print a line for each file, then how many got which verdict."""
    width = max((len(printable(line.name)) for line in lines), default=0)
    for line in lines:
        console.print(_text(line, width), overflow="fold")
    console.print()
    console.print(Text(_summary(lines)))
    if passed_over_count:
        console.print(Text(_passed_over(passed_over_count), style="dim"))


def _why(assessment: Assessment) -> str:
    asking = [finding for finding in assessment.findings if finding.asks is not Verdict.KEEP]
    shown = "; ".join(map(_reason, asking[:MAX_REASONS]))
    more = len(asking) - MAX_REASONS
    return f"{shown}; and {more} more" if more > 0 else shown


def _reason(finding: Finding) -> str:
    where = ", ".join(finding.electrodes) or _leads(finding.leads)
    return f"{finding.kind} {where}".rstrip()


def _leads(leads: Sequence[str]) -> str:
    return "in " + ", ".join(leads) if 0 < len(leads) <= 4 else ""


def _text(line: Line, width: int) -> Text:
    shape = SHAPES[line.verdict] if line.verdict else UNREADABLE_SHAPE
    word = WORDS[line.verdict] if line.verdict else UNREADABLE_WORD
    text = Text(
        f"{shape} {word:<{WIDEST_WORD}}", style=STYLES[line.verdict] if line.verdict else ""
    )
    text.append(f"  {printable(line.name):<{width}}  ", style="default not bold")
    text.append(printable(line.why), style="default not bold")
    text.rstrip()
    return text


def _summary(lines: Sequence[Line]) -> str:
    verdicts = [line.verdict for line in lines]
    counts = [f"{verdicts.count(verdict)} {verdict}" for verdict in Verdict]
    if None in verdicts:
        counts.append(f"{verdicts.count(None)} could not be read")
    return f"{len(lines)} files: {', '.join(counts)}."


def _passed_over(count: int) -> str:
    files = (
        "1 file that is no recording was"
        if count == 1
        else f"{count} files that are no recordings were"
    )
    return f"{files} passed over."
