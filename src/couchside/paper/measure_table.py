"""The table of measures: value, limits, standing, and the reason where there is no value."""

from __future__ import annotations

from couchside.measures.model import Limits, Measured, MeasureName, Measures, Standing
from couchside.measures.names import TABLE_NAMES
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Mark, Text, printable
from couchside.paper.typeface import shorten, wrap

_SIZE_MM = 2.5
_LINE_MM = 2.8
_NOTE_LINE_MM = 2.3
_NOTE_SIZE_MM = 2.2
_MOST_NOTES = 4
_JOINT = " · "
_ROWS = 6
_COLUMN_GAP_MM = 4.0
_VALUE_MM = 35.0
_LIMITS_MM = 52.0
_STANDING_MM = 53.2

_NAMES_IN_ONE_LINE = TABLE_NAMES | {
    MeasureName.JT_INTERVAL: "JT",
    MeasureName.JT_INDEX: "index",
    MeasureName.CORNELL_PRODUCT: "product",
    MeasureName.LIMB_QRS_VOLTAGE: "QRS limb",
    MeasureName.CHEST_QRS_VOLTAGE: "chest",
}
"""Each leans on the one before it, so that all fit."""

_STANDINGS = {
    Standing.WITHIN: "within",
    Standing.BELOW: "▼ below",
    Standing.ABOVE: "▲ above",
    Standing.NO_LIMITS: "",
}
_NOTE_MARKS = "¹²³⁴⁵⁶⁷⁸⁹"
_QUOTED = "†"


def make_measure_marks(measures: Measures, box: Box) -> list[Mark]:
    """Two columns of measures; under them the rest, the reasons, and whose limits were used."""
    shown, rest = measures.values[: 2 * _ROWS], measures.values[2 * _ROWS :]
    reasons = list(dict.fromkeys(item.reason for item in shown if item.reason))
    quoted = measures.qtc_choice.name if measures.qtc_choice else None
    width = (box.width_mm - _COLUMN_GAP_MM) / 2
    marks: list[Mark] = []
    for index, measured in enumerate(shown):
        left = box.left_mm + (index // _ROWS) * (width + _COLUMN_GAP_MM)
        y = box.top_mm + (index % _ROWS) * _LINE_MM + 2.3
        mark = f" {_QUOTED}" if measured.name == quoted else ""
        marks += _row(measured, mark, reasons, left, y)
    return marks + _notes(measures, rest, reasons, box)


def format_value(measured: Measured) -> str:
    """A value with its unit, or "not measurable"."""
    if measured.value is None:
        return "not measurable"
    if measured.unit == "mV":
        return f"{measured.value:.2f} mV"
    number = (
        f"{measured.value:.0f}".replace("-0", "0")
        if abs(measured.value) < 0.5
        else (f"{measured.value:.0f}")
    )
    joint = "" if measured.unit in {"deg", "/min"} else " "
    return f"{number}{joint}{'°' if measured.unit == 'deg' else measured.unit}".replace("-", "−")


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
    is_outside = measured.standing in {Standing.BELOW, Standing.ABOVE}
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
            content=_format_limits(measured.limits),
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=Anchor.END,
        ),
        Text(
            x_mm=left_mm + _STANDING_MM,
            y_mm=y_mm,
            content=_STANDINGS[measured.standing],
            size_mm=_SIZE_MM,
            bold=is_outside,
            ink=Ink.TEXT if is_outside else Ink.QUIET_TEXT,
        ),
    ]


def _format_limits(limits: Limits | None) -> str:
    if limits is None:
        return "no limits"
    low = "" if limits.low is None else f"{limits.low:g}"
    high = "" if limits.high is None else f"{limits.high:g}"
    if low and high:
        return f"{low} to {high}".replace("-", "−")
    return (f"≥ {low}" if low else f"{'<' if limits.high_is_outside else '≤'} {high}").replace(
        "-", "−"
    )


def _notes(
    measures: Measures, rest: tuple[Measured, ...], reasons: list[str], box: Box
) -> list[Mark]:
    """Measures for which there is no row, reasons, and limits, in at most four lines."""
    told = [
        [_JOINT.join(_describe_rest(rest))],
        [
            "  ".join(
                f"{_NOTE_MARKS[i] if i < len(_NOTE_MARKS) else '*'} {reason}"
                for i, reason in enumerate(reasons)
            )
        ],
        wrap(_describe_tables(measures), box.width_mm, _NOTE_SIZE_MM)[:2],
    ]
    lines = [line for group in told for line in group if line][:_MOST_NOTES]
    top = box.top_mm + _ROWS * _LINE_MM + 2.2
    return [
        Text(
            x_mm=box.left_mm,
            y_mm=top + index * _NOTE_LINE_MM,
            content=shorten(printable(line), box.width_mm, _NOTE_SIZE_MM),
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
        if measured.standing in {Standing.BELOW, Standing.ABOVE}:
            mark = _STANDINGS[measured.standing][0]
            words = f"{words} ({mark} {_format_limits(measured.limits)})"
        told += [words] if measured.value is not None else []
    return told


def _describe_choice(measures: Measures) -> str:
    if measures.qtc_choice is None:
        return ""
    doubt = ", doubtful: irregular rhythm" if measures.qtc_choice.is_doubtful else ""
    return f"{_QUOTED} QTc to quote{doubt}."


def _describe_tables(measures: Measures) -> list[str]:
    """Words: which QTc to quote, and whose limits the rows show, from where."""
    used = dict.fromkeys(
        f"{item.limits.population} ({item.limits.short_source})"
        for item in measures.values[: 2 * _ROWS]
        if item.limits
    )
    limits = f"Limits: {'; '.join(used)}" if used else "Limits: none were applied"
    return f"{_describe_choice(measures)} {limits}".split()
