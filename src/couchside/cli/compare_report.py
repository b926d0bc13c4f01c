"""A comparison for a person at a terminal: what it comes to, the measures, the leads."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from couchside.cli.check_report import CAUTION
from couchside.cli.consoles import say
from couchside.cli.plain_words import printable
from couchside.serial import Comparison, Examined
from couchside.serial.words import (
    ChangeRow,
    LeadRow,
    describe_when,
    list_change_rows,
    list_lead_rows,
    summarise,
)


def report_comparison(
    console: Console, new: Examined, comparison: Comparison, *, names: tuple[str, str]
) -> None:
    """Print the sentences first, then what they rest on."""
    say(console, Text(printable(names[0]), style="bold"))
    say(console, Text(printable(f"compared with {names[1]}, {describe_when(comparison)}")))
    console.print()
    for sentence in summarise(comparison):
        say(console, Text(printable(sentence)))
    console.print()
    _report_unlike(console, comparison)
    _report_changes(console, comparison)
    _report_leads(console, comparison)
    say(console, Text(f"Couchside {new.assessment.code_version}. {CAUTION}", style="dim"))


def _report_unlike(console: Console, comparison: Comparison) -> None:
    if not comparison.unlike:
        return
    say(console, Text("Not like for like", style="bold"))
    for each in comparison.unlike:
        say(console, Text(f"– {printable(each.sentence)}"), indent=2, hangs=True)
    console.print()


def _report_changes(console: Console, comparison: Comparison) -> None:
    say(console, Text(f"{'':<15}{'then':>7}{'now':>7}{'change':>9}", style="bold"))
    for row in list_change_rows(comparison):
        say(console, Text(_change(row)), indent=4, hangs=True)
    console.print()


def _change(row: ChangeRow) -> str:
    mark = "!" if row.is_notable else " "
    values = f"{row.name:<15}{row.old:>7}{row.new:>7}{row.change or '–':>9}"
    return f"{values} {row.uncertainty:<5} {row.unit:<5} {mark} {printable(row.note)}"


def _report_leads(console: Console, comparison: Comparison) -> None:
    rows = list_lead_rows(comparison)
    if not rows:
        say(console, Text("The beats could not be laid upon each other, so no lead is compared."))
        console.print()
        return
    say(console, Text(f"{'change in µV':<15}{'QRS':>7}{'ST':>7}{'T':>7}", style="bold"))
    for row in rows:
        say(console, Text(_lead(row)))
    console.print()


def _lead(row: LeadRow) -> str:
    note = f"  ! more than usual: {row.notable}" if row.notable else ""
    return f"{row.lead:<15}{row.qrs:>7}{row.st:>7}{row.t:>7}{note}"
