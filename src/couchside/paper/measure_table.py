"""The table of measures: value, limits, standing, and the reason where there is no value."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.model import Measured, MeasureName, Measures
from couchside.measures.names import TABLE_NAMES
from couchside.paper.inks import Ink
from couchside.paper.measure_words import (
    QUOTED,
    STANDING_WORDS,
    UNCHECKED,
    UNCHECKED_NOTE,
    describe_population,
    format_half_width,
    format_limits,
    format_value,
    has_unchecked,
    short_source,
)
from couchside.paper.model import Anchor, Box, Mark, Text, printable
from couchside.paper.typeface import wrap

_SIZE_MM = 2.5
_LINE_MM = 2.8
_NOTE_LINE_MM = 2.2
_NOTE_SIZE_MM = 2.2
_MOST_NOTES = 5
_CONTINUED = "All measures with their limits stand on the next page."
_JOINT = " · "
_ROWS = 6
_COLUMN_GAP_MM = 4.0
_VALUE_MM = 33.0
_HALF_WIDTH_MM = 33.6
_HALF_WIDTH_SIZE_MM = 2.0
_LIMITS_MM = 52.0
_UNCHECKED_MM = 52.4
_STANDING_MM = 54.3

_NAMES_IN_ONE_LINE = TABLE_NAMES | {
    MeasureName.JT_INTERVAL: "JT",
    MeasureName.JT_INDEX: "index",
    MeasureName.CORNELL_PRODUCT: "product",
    MeasureName.LIMB_QRS_VOLTAGE: "QRS limb",
    MeasureName.CHEST_QRS_VOLTAGE: "chest",
}
"""Each leans on the one before it, so that all fit."""

_HALF_WIDTH_NOTE = "± holds nine times in ten."
_NOTE_MARKS = "¹²³⁴⁵⁶⁷⁸⁹"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureMarks:
    """The table, and whether all of it had room."""

    marks: tuple[Mark, ...]
    is_whole: bool


def make_measure_marks(measures: Measures, box: Box) -> MeasureMarks:
    """Two columns of measures; under them the rest, the reasons, and whose limits were used."""
    shown, rest = measures.values[: 2 * _ROWS], measures.values[2 * _ROWS :]
    reasons = list(dict.fromkeys(item.reason for item in shown if item.reason))
    quoted = measures.qtc_choice.name if measures.qtc_choice else None
    width = (box.width_mm - _COLUMN_GAP_MM) / 2
    marks: list[Mark] = []
    for index, measured in enumerate(shown):
        left = box.left_mm + (index // _ROWS) * (width + _COLUMN_GAP_MM)
        y = box.top_mm + (index % _ROWS) * _LINE_MM + 2.3
        mark = f" {QUOTED}" if measured.name == quoted else ""
        marks += _row(measured, mark, reasons, left, y)
    lines = _list_notes(measures, rest, reasons, box.width_mm)
    is_whole = len(lines) <= _MOST_NOTES
    lines = lines if is_whole else [*lines[: _MOST_NOTES - 1], _CONTINUED]
    return MeasureMarks(marks=(*marks, *_notes(lines, box)), is_whole=is_whole)


def _row(
    measured: Measured, mark: str, reasons: list[str], left_mm: float, y_mm: float
) -> list[Mark]:
    words = f"{TABLE_NAMES[measured.name]}{mark}"
    label = Text(x_mm=left_mm, y_mm=y_mm, content=words, size_mm=_SIZE_MM)
    if measured.value is None:
        note = reasons.index(measured.reason)
        mark = _NOTE_MARKS[note] if note < len(_NOTE_MARKS) else "*"
        words = f"not measurable {mark}"
        return [
            label,
            Text(
                x_mm=left_mm + 25.5, y_mm=y_mm, content=words, size_mm=_SIZE_MM, ink=Ink.QUIET_TEXT
            ),
        ]
    stands_out = measured.is_outside
    return [
        label,
        Text(
            x_mm=left_mm + _VALUE_MM,
            y_mm=y_mm,
            content=format_value(measured),
            size_mm=_SIZE_MM,
            bold=True,
            anchor=Anchor.END,
        ),
        Text(
            x_mm=left_mm + _LIMITS_MM,
            y_mm=y_mm,
            content=format_limits(measured.limits),
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=Anchor.END,
        ),
        Text(
            x_mm=left_mm + _STANDING_MM,
            y_mm=y_mm,
            content=STANDING_WORDS[measured.standing],
            size_mm=_SIZE_MM,
            bold=stands_out,
            ink=Ink.TEXT if stands_out else Ink.QUIET_TEXT,
        ),
        *_half_width_mark(measured, left_mm, y_mm),
        *_unchecked_mark(measured, left_mm, y_mm),
    ]


def _half_width_mark(measured: Measured, left_mm: float, y_mm: float) -> list[Mark]:
    """Beside the value, so that the units of all rows end at one place."""
    words, size_mm = format_half_width(measured), _HALF_WIDTH_SIZE_MM
    x_mm = left_mm + _HALF_WIDTH_MM
    mark = Text(x_mm=x_mm, y_mm=y_mm, content=words, size_mm=size_mm, ink=Ink.QUIET_TEXT)
    return [mark] if words else []


def _unchecked_mark(measured: Measured, left_mm: float, y_mm: float) -> list[Mark]:
    """Beside the limits of a row, so that the numbers of all rows end at one place."""
    if not has_unchecked([measured]):
        return []
    x = left_mm + _UNCHECKED_MM
    return [Text(x_mm=x, y_mm=y_mm, content=UNCHECKED, size_mm=_NOTE_SIZE_MM, ink=Ink.QUIET_TEXT)]


def _list_notes(
    measures: Measures, rest: tuple[Measured, ...], reasons: list[str], width_mm: float
) -> list[str]:
    """Measures for which there is no row, reasons, and whose limits were used, in lines."""
    told = [
        f"{_NOTE_MARKS[i] if i < len(_NOTE_MARKS) else '*'} {reason}"
        for i, reason in enumerate(reasons)
    ]
    return [
        *wrap(_describe_rest(rest), width_mm, _NOTE_SIZE_MM, joint=_JOINT),
        *wrap(printable("  ".join(told)).split(" "), width_mm, _NOTE_SIZE_MM),
        *wrap(_describe_tables(measures, rest), width_mm, _NOTE_SIZE_MM),
    ]


def _notes(lines: list[str], box: Box) -> list[Mark]:
    top = box.top_mm + _ROWS * _LINE_MM + 2.1
    return [
        Text(
            x_mm=box.left_mm,
            y_mm=top + index * _NOTE_LINE_MM,
            content=line,
            size_mm=_NOTE_SIZE_MM,
            ink=Ink.QUIET_TEXT,
        )
        for index, line in enumerate(lines)
    ]


def _describe_rest(rest: tuple[Measured, ...]) -> list[str]:
    """Measures in a line with others; limits only where one lies outside them."""
    told = []
    for measured in rest:
        words = f"{_NAMES_IN_ONE_LINE[measured.name]} {format_value(measured)}"
        if measured.is_outside:
            mark = STANDING_WORDS[measured.standing][0]
            unchecked = f" {UNCHECKED}" if has_unchecked([measured]) else ""
            words = f"{words} ({mark} {format_limits(measured.limits)}{unchecked})"
        told += [words] if measured.value is not None else []
    return told


def _describe_choice(measures: Measures) -> str:
    if measures.qtc_choice is None:
        return ""
    doubt = ", doubtful: irregular rhythm" if measures.qtc_choice.is_doubtful else ""
    return f"{QUOTED} QTc to quote{doubt}."


def _describe_tables(measures: Measures, rest: tuple[Measured, ...]) -> list[str]:
    """Words: which QTc to quote, and whose limits are shown, from where."""
    shown = [*measures.values[: 2 * _ROWS], *(each for each in rest if each.is_outside)]
    used = dict.fromkeys(
        describe_population(item.limits, short_source(item.limits))
        for item in measures.values[: 2 * _ROWS]
        if item.limits
    )
    limits = f"Limits: {'; '.join(used)}" if used else "Limits: none were applied"
    footnote = f". {UNCHECKED_NOTE}" if has_unchecked(shown) else ""
    width = _HALF_WIDTH_NOTE if any(format_half_width(each) for each in shown) else ""
    return f"{_describe_choice(measures)} {width} {limits}{footnote}".split()
