"""The head of a CSV table: comment lines that state things, and the line that names the columns."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from enum import StrEnum

from couchside.formats.units import find_microvolts_per
from couchside.recording import Lead, canonical_lead_name

LONGEST_HEADING = 80
"""Of a name with its unit; beyond, no unit is looked for."""

DELIMITERS = (";", "\t", ",")
"""In the order of trial: with semicolons or tabs a comma may be a decimal sign."""


class ColumnKind(StrEnum):
    """What a column holds."""

    LEAD = "lead"
    TIME = "time"
    COUNTER = "counter"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column as its heading describes it; the unit is empty where the heading names none."""

    heading: str
    kind: ColumnKind
    name: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TableHeader:
    """What stands above the numbers.

    Parameters
    ----------
    first_row : int
        Position of the first line of numbers among all lines, from 0.
    delimiter : str
        What stands between cells.
    columns : tuple of Column
        Empty where the table begins with numbers and names nothing.
    comments : tuple of str
        Comment lines without their ``#``.
    """

    first_row: int
    delimiter: str
    columns: tuple[Column, ...]
    comments: tuple[str, ...]


def decode_table(content: bytes) -> str | None:
    """Text in UTF-8, UTF-16 with its mark, or Latin-1; None where the bytes are no text."""
    if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return _refuse_controls(content.decode("utf-16", errors="replace"))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    return _refuse_controls(text)


def find_header(text: str) -> TableHeader | None:
    """The head of a table, if the text begins as one.

    Parameters
    ----------
    text : str
        A whole file, or its beginning.

    Returns
    -------
    TableHeader or None
        None where the first line that is neither empty nor a comment holds no lead's name, no
        time column, and is no row of at least two numbers.
    """
    comments: list[str] = []
    for position, line in enumerate(text.splitlines()):
        stripped = _take_off_quotes(line.strip())
        if stripped.startswith("#"):
            comments.append(stripped.lstrip("#").strip())
        elif stripped:
            return _describe(line, position, tuple(comments))
    return None


def _take_off_quotes(line: str) -> str:
    """A comment line that was quoted as one cell."""
    is_quoted = line.startswith('"#') and line.endswith('"')
    return line[1:-1].replace('""', '"') if is_quoted else line


def split_row(line: str, delimiter: str) -> list[str]:
    """Cells of one line, quotes taken off; raises `csv.Error` where the quoting is broken."""
    return next(csv.reader([line], delimiter=delimiter, strict=True), [])


def _refuse_controls(text: str) -> str | None:
    return None if _CONTROL_CHARACTER.search(text) else text


_CONTROL_CHARACTER = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")
_HEADING = re.compile(r"(?P<name>.*?)[\s_]*[\s_(\[/](?P<unit>[^\s_()\[\]/]+)[)\]]?")
_NUMBER = re.compile(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?|nan", re.IGNORECASE)
_TIME_NAMES = {"time", "t", "timestamp"}
_TIME_HEADINGS = {
    "seconds": "s",
    "milliseconds": "ms",
    "sec": "s",
    "s": "s",
    "ms": "ms",
}
_COUNTER_HEADINGS = {"", "index", "sample", "sample_number", "no", "n"}
SECONDS_PER = {"s": 1.0, "sec": 1.0, "seconds": 1.0, "ms": 1e-3, "milliseconds": 1e-3, "us": 1e-6}
"""Units of a time column."""


def _describe(line: str, position: int, comments: tuple[str, ...]) -> TableHeader | None:
    delimiter = next((each for each in DELIMITERS if each in line), ",")
    try:
        cells = [cell.strip() for cell in split_row(line, delimiter)]
    except csv.Error:
        return None
    if len(cells) > 1 and all(_NUMBER.fullmatch(cell) or not cell for cell in cells):
        return TableHeader(first_row=position, delimiter=delimiter, columns=(), comments=comments)
    columns = tuple(_read_heading(cell) for cell in cells)
    if not any(_is_telling(column) for column in columns):
        return None
    return TableHeader(
        first_row=position + 1, delimiter=delimiter, columns=columns, comments=comments
    )


def _read_heading(heading: str) -> Column:
    folded = heading.casefold()
    if folded in _COUNTER_HEADINGS:
        return Column(heading=heading, kind=ColumnKind.COUNTER, name=heading, unit="")
    if folded in _TIME_HEADINGS:
        unit = _TIME_HEADINGS[folded]
        return Column(heading=heading, kind=ColumnKind.TIME, name="time", unit=unit)
    match = _HEADING.fullmatch(heading) if len(heading) <= LONGEST_HEADING else None
    name, unit = (match["name"], match["unit"]) if match else (heading, "")
    if find_microvolts_per(unit) is not None:
        return Column(
            heading=heading, kind=ColumnKind.LEAD, name=canonical_lead_name(name), unit=unit
        )
    if folded in _TIME_NAMES or name.casefold() in _TIME_NAMES:
        return Column(heading=heading, kind=ColumnKind.TIME, name="time", unit=unit)
    if unit.casefold() in _OTHER_UNITS:
        return Column(heading=heading, kind=ColumnKind.OTHER, name=name, unit=unit)
    return Column(heading=heading, kind=ColumnKind.LEAD, name=canonical_lead_name(heading), unit="")


_OTHER_UNITS = {"mmhg", "bpm", "ohm", "%", "l", "ml", "l/min", "g", "degc", "nu", "kpa"}


def _is_telling(column: Column) -> bool:
    known_leads = {lead.value for lead in Lead}
    return column.kind is ColumnKind.TIME or column.name in known_leads or bool(column.unit)
