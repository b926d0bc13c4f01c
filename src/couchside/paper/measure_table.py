"""The table of measures: value, limits, standing, and the reason where there is no value."""

from __future__ import annotations

from couchside.measures.model import Limits, Measured, MeasureName, Measures, Standing
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Mark, Text, printable
from couchside.paper.typeface import shorten

_SIZE_MM = 2.5
_LINE_MM = 3.15
_ROWS = 6
_COLUMN_GAP_MM = 4.0
_VALUE_MM = 35.0
_LIMITS_MM = 52.0
_STANDING_MM = 53.2

_LABELS = {
    MeasureName.HEART_RATE: "Rate",
    MeasureName.P_DURATION: "P duration",
    MeasureName.PR_INTERVAL: "PR interval",
    MeasureName.QRS_DURATION: "QRS duration",
    MeasureName.QT_INTERVAL: "QT interval",
    MeasureName.QTC_BAZETT: "QTc Bazett",
    MeasureName.QTC_FRIDERICIA: "QTc Fridericia",
    MeasureName.QTC_FRAMINGHAM: "QTc Framingham",
    MeasureName.QTC_HODGES: "QTc Hodges",
    MeasureName.P_AXIS: "P axis",
    MeasureName.QRS_AXIS: "QRS axis",
    MeasureName.T_AXIS: "T axis",
}
_STANDINGS = {
    Standing.WITHIN: "within",
    Standing.BELOW: "▼ below",
    Standing.ABOVE: "▲ above",
    Standing.NO_LIMITS: "",
}
_NOTE_MARKS = "¹²³⁴⁵⁶⁷⁸⁹"


def make_measure_marks(measures: Measures, box: Box) -> list[Mark]:
    """Two columns of measures; under them the reasons, and whose limits were used."""
    reasons = list(dict.fromkeys(item.reason for item in measures if item.reason))
    width = (box.width_mm - _COLUMN_GAP_MM) / 2
    marks: list[Mark] = []
    for index, measured in enumerate(measures.values[: 2 * _ROWS]):
        left = box.left_mm + (index // _ROWS) * (width + _COLUMN_GAP_MM)
        y = box.top_mm + (index % _ROWS) * _LINE_MM + 2.45
        marks += _row(measured, reasons, left, y)
    return marks + _notes(measures, reasons, box)


def label_measure(name: MeasureName) -> str:
    """A measure's name as it is printed."""
    return _LABELS.get(name, name.replace("_", " "))


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


def _row(measured: Measured, reasons: list[str], left_mm: float, y_mm: float) -> list[Mark]:
    label = Text(x_mm=left_mm, y_mm=y_mm, content=label_measure(measured.name), size_mm=_SIZE_MM)
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
    return (f"≥ {low}" if low else f"≤ {high}").replace("-", "−")


def _notes(measures: Measures, reasons: list[str], box: Box) -> list[Mark]:
    used = dict.fromkeys(
        f"{item.limits.population} ({item.limits.source})" for item in measures if item.limits
    )
    left_out = len(measures.values) - 2 * _ROWS
    lines = [
        "  ".join(
            f"{_NOTE_MARKS[i] if i < len(_NOTE_MARKS) else '*'} {reason}"
            for i, reason in enumerate(reasons)
        ),
        f"Limits: {'; '.join(used)}" if used else "Limits: none were applied",
        f"and {left_out} more measures" if left_out > 0 else "",
    ]
    top = box.top_mm + _ROWS * _LINE_MM + 2.75
    return [
        Text(
            x_mm=box.left_mm,
            y_mm=top + index * 2.95,
            content=shorten(printable(line), box.width_mm, 2.4),
            size_mm=2.4,
            ink=Ink.QUIET_TEXT,
        )
        for index, line in enumerate(line for line in lines if line)
    ]
