"""Each lead's waves and ST levels for a person at a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from couchside.cli.consoles import say
from couchside.cli.plain_words import printable
from couchside.measures.lead_words import LEAD_HEADS, LEADS_NOTE, list_lead_rows
from couchside.measures.model import Measures

_LEAD_WIDTH = 5
_NUMBER_WIDTH = 6


def report_leads(console: Console, measures: Measures) -> None:
    """A row each lead; where nothing was measured, that."""
    rows = list_lead_rows(measures.leads)
    if not rows:
        say(console, Text("No lead's waves could be measured."))
        return
    console.print()
    say(console, Text(_set("", LEAD_HEADS), style="bold"))
    for row in rows:
        say(console, Text(_set(printable(row.lead), row.numbers)))
    say(console, Text(LEADS_NOTE, style="dim"))
    console.print()


def _set(lead: str, cells: tuple[str, ...]) -> str:
    return f"{lead:<{_LEAD_WIDTH}}" + "".join(f"{cell:>{_NUMBER_WIDTH}}" for cell in cells)
