"""CSV tables to recordings."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.errors import CorruptFile, InvalidInput, UnsupportedFeature
from couchside.formats.csv_header import (
    SECONDS_PER,
    Column,
    ColumnKind,
    TableHeader,
    decode_table,
    find_header,
    split_row,
)
from couchside.formats.csv_statements import Statements, read_statements
from couchside.formats.hints import ReadHints
from couchside.formats.limits import check_extent, check_lead_count, check_sample_total
from couchside.formats.naming import name_each_once
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.units import KNOWN_UNITS, find_microvolts_per
from couchside.recording import Recording

FORMAT_NAME = "csv"

Samples = NDArray[np.float64]


def read_csv(parcel: Parcel, hints: ReadHints) -> Recording:
    """Read a CSV table: a line that names the leads, then one line a sample.

    Parameters
    ----------
    parcel : Parcel
        One text file; its format is described in ``docs/formats.md``.
    hints : ReadHints
        A rate and a unit where the file states none.

    Returns
    -------
    Recording
        In µV; NaN where a cell is empty or says ``NaN``.

    Raises
    ------
    CorruptFile
        If a line does not fit the heading, a cell is no number, the times are uneven, or there is
        no sample at all.
    InvalidInput
        If neither file nor hints give rate and unit.
    """
    file = parcel.main
    _check_row_count(file)
    table = _parse_head(file.name, file.content)
    statements = read_statements(file.name, table.header.comments)
    numbers = _parse_rows(table)
    rate_hz = _get_rate(table, numbers, statements, hints)
    chosen = [
        position
        for position, column in enumerate(table.header.columns)
        if column.kind is ColumnKind.LEAD
    ]
    check_extent(file.name, lead_count=len(chosen), sample_count=len(numbers), rate_hz=rate_hz)
    scales = [
        _get_microvolts_per(table, table.header.columns[position], statements, hints)
        for position in chosen
    ]
    with np.errstate(over="ignore"):  # found and explained by _check_samples
        microvolts = numbers[:, chosen].T * np.array(scales)[:, None]
    _check_samples(file.name, microvolts)
    return statements.build_recording(
        leads=name_each_once(
            file.name, tuple(table.header.columns[position].name for position in chosen)
        ),
        microvolts=microvolts,
        rate_hz=rate_hz,
        remarks=_describe_left_out(table),
    )


MAX_ROWS = 4_000_000
"""Lines of one table: more than an hour at 1000 Hz."""


def _check_row_count(file: ArrivedFile) -> None:
    row_count = max(file.content.count(b"\n"), file.content.count(b"\r"))
    if row_count > MAX_ROWS:
        raise UnsupportedFeature(
            f"{file.name} has {row_count} lines, and tables of up to {MAX_ROWS} are read; "
            "cut out the stretch that is wanted",
            format_name=FORMAT_NAME,
            field="line count",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """A table before its numbers are read."""

    file_name: str
    header: TableHeader
    lines: list[str]


def _parse_head(file_name: str, content: bytes) -> _Table:
    text = decode_table(content)
    header = find_header(text) if text is not None else None
    if text is None or header is None:
        raise _corrupt(file_name, "has no line that names the leads", "put one above the numbers")
    if not header.columns:
        raise _corrupt(
            file_name,
            "begins with numbers",
            "put a line with the names of the leads above them, such as I,II,V1",
        )
    lines = text.splitlines()
    check_lead_count(file_name, sum(column.kind is ColumnKind.LEAD for column in header.columns))
    return _Table(file_name=file_name, header=header, lines=lines)


def _parse_rows(table: _Table) -> Samples:
    """Every number, shape (sample, column)."""
    header = table.header
    kept = [
        (number, line)
        for number, line in enumerate(table.lines[header.first_row :], header.first_row + 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    check_sample_total(table.file_name, len(kept) * len(header.columns))
    numbers = np.empty((len(kept), len(header.columns)))
    for row, (line_number, line) in enumerate(kept):
        numbers[row] = _parse_row(table, line_number, line)
    return numbers


def _parse_row(table: _Table, line_number: int, line: str) -> list[float]:
    delimiter = table.header.delimiter
    expected = len(table.header.columns)
    try:
        cells = split_row(line, delimiter) if '"' in line else line.split(delimiter)
    except csv.Error:
        cells = []
    if len(cells) != expected:
        raise _corrupt(
            table.file_name,
            f"has {len(cells)} cells in line {line_number} where its heading has {expected}",
            "export it again",
        )
    try:
        return [float(cell) for cell in cells]  # the fast way, for most tables
    except ValueError:
        return [
            _parse_cell(table, line_number, column, cell)
            for column, cell in zip(table.header.columns, cells, strict=True)
        ]


def _parse_cell(table: _Table, line_number: int, column: Column, cell: str) -> float:
    text = cell.strip()
    if text.casefold() in _MISSING:
        return math.nan
    if table.header.delimiter != ",":
        text = text.replace(",", ".")
    try:
        return float(text)
    except ValueError:
        if column.kind is not ColumnKind.LEAD and column.kind is not ColumnKind.TIME:
            return math.nan
        raise _corrupt(
            table.file_name,
            f"has {cell[:20]!r} under {column.heading} in line {line_number} instead of a number",
            "correct or empty that cell",
        ) from None


_MISSING = {"", "nan", "na", "n/a", "null", "none", "-"}


def _get_rate(table: _Table, numbers: Samples, statements: Statements, hints: ReadHints) -> float:
    times_s = _find_times(table, numbers)
    from_times = _rate_from_times(table.file_name, times_s) if times_s is not None else None
    if statements.rate_hz is not None:
        _check_agreement(table.file_name, statements.rate_hz, from_times, len(numbers))
        return statements.rate_hz
    rate_hz = from_times if from_times is not None else hints.rate_hz
    if rate_hz is None:
        raise InvalidInput(
            f"{table.file_name} states no sampling rate; give it with --rate, such as --rate 500, "
            "or write a line '# rate_hz: 500' at the top"
        )
    return rate_hz


def _find_times(table: _Table, numbers: Samples) -> Samples | None:
    for position, column in enumerate(table.header.columns):
        if column.kind is not ColumnKind.TIME:
            continue
        scale = SECONDS_PER.get(column.unit.casefold())
        if scale is None:
            raise _corrupt(
                table.file_name,
                f"has the time column {column.heading!r}, whose unit is not known",
                "name it time_s or time_ms",
            )
        times_s: Samples = numbers[:, position] * scale
        return times_s
    return None


def _rate_from_times(file_name: str, times_s: Samples) -> float | None:
    """Rate of evenly spaced times, whole where a whole number fits them as well."""
    count = len(times_s)
    if count < 2:
        return None
    span_s = float(times_s[-1] - times_s[0])
    if not span_s > 0:
        raise _corrupt(file_name, "has times that do not go forward", "export it again")
    expected = times_s[0] + np.arange(count) * (span_s / (count - 1))
    astray = np.abs(times_s - expected) > 0.75 * span_s / (count - 1)
    if astray.any() or not np.isfinite(times_s).all():
        raise _corrupt(file_name, "has times that are not evenly spaced", "export it without gaps")
    rate_hz = (count - 1) / span_s
    return float(round(rate_hz)) if _fits(rate_hz, round(rate_hz), count) else rate_hz


def _fits(rate_hz: float, candidate_hz: float, count: int) -> bool:
    """Whether two rates stay within half a sample of each other to the end."""
    return abs(candidate_hz - rate_hz) / rate_hz * count < 0.5


def _check_agreement(
    file_name: str, stated_hz: float, from_times: float | None, count: int
) -> None:
    if from_times is not None and not _fits(from_times, stated_hz, count):
        raise _corrupt(
            file_name,
            f"states {stated_hz:g} Hz while its time column runs at {from_times:g} Hz",
            "correct one of them",
        )


def _get_microvolts_per(
    table: _Table, column: Column, statements: Statements, hints: ReadHints
) -> float:
    if column.unit:
        in_heading = find_microvolts_per(column.unit)
        if in_heading is not None:
            return in_heading
    if statements.microvolts_per_unit is not None:
        return statements.microvolts_per_unit
    if hints.microvolts_per_unit is not None:
        return hints.microvolts_per_unit
    raise InvalidInput(
        f"{table.file_name} states no unit for {column.heading}; give it with --unit "
        f"({KNOWN_UNITS}), or write a line '# unit: mV' at the top"
    )


def _check_samples(file_name: str, microvolts: Samples) -> None:
    if np.isinf(microvolts).any():
        raise _corrupt(file_name, "holds an infinite number", "leave that cell empty")


def _describe_left_out(table: _Table) -> tuple[str, ...]:
    return tuple(
        f"Column {column.heading} is no voltage and was left out."
        for column in table.header.columns
        if column.kind is ColumnKind.OTHER
    )


def _corrupt(file_name: str, found: str, remedy: str) -> CorruptFile:
    return CorruptFile(
        f"{file_name} {found}, and a CSV recording has a line that names the leads and then one "
        f"line of numbers a sample; {remedy}",
        format_name=FORMAT_NAME,
    )
