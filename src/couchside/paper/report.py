"""Between header and plot: measures, findings, and room for symptoms and remarks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.measure_table import make_measure_marks
from couchside.paper.model import Box, Layer, Mark, Rectangle, Segments, Text, printable
from couchside.paper.typeface import wrap
from couchside.quality.model import Assessment, Finding

Remarks: TypeAlias = list[tuple[str, bool]]
"""Paragraphs, each with whether it is printed in bold."""

NOTHING_NOTICED = "Nothing was noticed that speaks against reading it."

TEXT_SIZE_MM = 2.5
LINE_MM = 3.15
HEAD_MM = 3.2

_MEASURES_MM = 132.0
_FINDINGS_MM = 84.0
_GAP_MM = 4.0
_BULLET_MM = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What stands between header and plot, and whether all of it had room."""

    layer: Layer
    is_whole: bool


def make_report(assessment: Assessment | None, remarks: Remarks, box: Box) -> Report:
    """Three columns: measures, findings, remarks."""
    measures = _column(box, 0.0, _MEASURES_MM)
    findings = _column(box, _MEASURES_MM + _GAP_MM, _FINDINGS_MM)
    rest = _MEASURES_MM + _FINDINGS_MM + 2 * _GAP_MM
    written = _column(box, rest, box.width_mm - rest)
    parts = [_remarks(remarks, _under_head(written))]
    if assessment is not None:
        table = make_measure_marks(assessment.measures, _under_head(measures))
        parts += [
            (list(table.marks), table.is_whole),
            _findings(assessment.findings, _under_head(findings)),
        ]
    else:
        parts += [(_not_checked(column), True) for column in (measures, findings)]
    marks = [
        *_head("Measures", measures),
        *_head("Findings", findings),
        *_head("Symptoms, remarks", written),
        *(mark for part, _ in parts for mark in part),
    ]
    return Report(
        layer=Layer(name="report", marks=tuple(marks)),
        is_whole=all(is_whole for _, is_whole in parts),
    )


def _column(box: Box, offset_mm: float, width_mm: float) -> Box:
    return Box(
        left_mm=box.left_mm + offset_mm,
        top_mm=box.top_mm,
        width_mm=width_mm,
        height_mm=box.height_mm,
    )


def _under_head(column: Box) -> Box:
    return Box(
        left_mm=column.left_mm,
        top_mm=column.top_mm + HEAD_MM + 0.7,
        width_mm=column.width_mm,
        height_mm=column.height_mm - HEAD_MM - 0.7,
    )


def _head(words: str, column: Box) -> list[Mark]:
    return [
        Text(
            x_mm=column.left_mm,
            y_mm=column.top_mm + 2.5,
            content=words,
            size_mm=TEXT_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            bold=True,
        )
    ]


def _not_checked(column: Box) -> list[Mark]:
    return [
        Text(
            x_mm=column.left_mm,
            y_mm=column.top_mm + HEAD_MM + 3.2,
            content="not checked",
            size_mm=TEXT_SIZE_MM,
        )
    ]


def _findings(findings: tuple[Finding, ...], box: Box) -> tuple[list[Mark], bool]:
    """A sentence each, as many as fit; the last line then counts the rest."""
    if not findings:
        return [
            _line(words, box, n) for n, words in enumerate(_wrapped(NOTHING_NOTICED, box))
        ], True
    capacity = int(box.height_mm // LINE_MM)
    wrapped = [_wrapped(finding.sentence, box) for finding in findings]
    shown = _count_that_fits(wrapped, capacity)
    marks: list[Mark] = []
    line = 0
    for lines in wrapped[:shown]:
        marks.append(_bullet(box, line))
        marks += [_line(words, box, line + index, _BULLET_MM) for index, words in enumerate(lines)]
        line += len(lines)
    if shown < len(findings):
        words = f"and {len(findings) - shown} more, on the next page"
        marks.append(_line(words, box, line, _BULLET_MM, bold=True))
    return marks, shown == len(findings)


def _wrapped(sentence: str, box: Box) -> list[str]:
    return wrap(printable(sentence).split(" "), box.width_mm - _BULLET_MM, TEXT_SIZE_MM)


def _count_that_fits(wrapped: list[list[str]], capacity: int) -> int:
    """How many findings fit, with a line kept for "and N more" unless all do."""
    if sum(map(len, wrapped)) <= capacity:
        return len(wrapped)
    used = 0
    for count, lines in enumerate(wrapped):
        used += len(lines)
        if used > capacity - 1:
            return count
    return len(wrapped)


def _bullet(box: Box, line: int) -> Mark:
    y = box.top_mm + line * LINE_MM + 1.55
    return Segments(points_mm=np.array([[[box.left_mm, y], [box.left_mm + 1.3, y]]]), ink=Ink.TICK)


def _line(words: str, box: Box, line: int, indent_mm: float = 0.0, *, bold: bool = False) -> Text:
    return Text(
        x_mm=box.left_mm + indent_mm,
        y_mm=box.top_mm + line * LINE_MM + 2.45,
        content=words,
        size_mm=TEXT_SIZE_MM,
        bold=bold,
    )


def _remarks(remarks: Remarks, box: Box) -> tuple[list[Mark], bool]:
    """What was decided and remarked, in a frame with room to write."""
    frame = Rectangle(
        box=Box(
            left_mm=box.left_mm,
            top_mm=box.top_mm,
            width_mm=box.width_mm,
            height_mm=box.height_mm - 1.0,
        ),
        ink=Ink.FRAME,
    )
    inner = Box(
        left_mm=box.left_mm + 1.2,
        top_mm=box.top_mm + 0.6,
        width_mm=box.width_mm - 2.4,
        height_mm=box.height_mm - 2.2,
    )
    lines = [
        (line, is_bold)
        for words, is_bold in remarks
        for line in wrap(printable(words).split(" "), inner.width_mm, TEXT_SIZE_MM, bold=is_bold)
    ]
    capacity = int(inner.height_mm // LINE_MM)
    is_whole = len(lines) <= capacity
    lines = lines if is_whole else [*lines[: capacity - 1], ("… on the next page", True)]
    written = [_line(words, inner, n, bold=is_bold) for n, (words, is_bold) in enumerate(lines)]
    return [frame, *written], is_whole
