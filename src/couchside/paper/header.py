"""The band across the top: who, when, and the verdict; under it the banner of deviations."""

from __future__ import annotations

import numpy as np

from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Layer, Mark, Rectangle, Segments, Text, printable
from couchside.paper.shapes import draw_verdict_shape
from couchside.paper.typeface import shorten, width_mm, wrap
from couchside.paper.wording import describe_identity, describe_start
from couchside.quality.model import Assessment
from couchside.recording import Recording

_NAME_SIZES_MM = (4.8, 4.2, 3.6, 3.1)
_LINE_SIZE_MM = 2.9
_JOINT = "  ·  "
_ONE_NAME_LINE_MM = 4.2
_TWO_NAME_LINES_MM = 2.9
_WORD_SIZE_MM = 4.8
_SMALL_SIZE_MM = 2.5
_VERDICT_WIDTH_MM = 74.0
_SHAPE_RADIUS_MM = 4.4


def make_header(recording: Recording, assessment: Assessment | None, box: Box) -> Layer:
    """Identity at the left, date and time beside it, the verdict at the right."""
    verdict = Box(
        left_mm=box.right_mm - _VERDICT_WIDTH_MM,
        top_mm=box.top_mm,
        width_mm=_VERDICT_WIDTH_MM,
        height_mm=box.height_mm,
    )
    room = box.width_mm - _VERDICT_WIDTH_MM - 3.0
    return Layer(
        name="header",
        marks=(
            *make_identity(recording, box, room),
            *_verdict(assessment, verdict),
            make_rule(box),
        ),
    )


def make_banner(deviations: list[str], box: Box) -> Layer:
    """White words on dark: in what the page or the recording differs from a standard one."""
    head = "NON-STANDARD"
    left = box.left_mm + 2.0
    start = left + width_mm(head, _LINE_SIZE_MM, bold=True) + 4.0
    words = shorten(" · ".join(deviations), box.right_mm - start - 2.0, _LINE_SIZE_MM)
    y = box.top_mm + box.height_mm / 2 + _LINE_SIZE_MM * 0.36
    return Layer(
        name="banner",
        marks=(
            Rectangle(box=box, ink=Ink.BANNER),
            Text(
                x_mm=left,
                y_mm=y,
                content=head,
                size_mm=_LINE_SIZE_MM,
                ink=Ink.BANNER_TEXT,
                bold=True,
            ),
            Text(x_mm=start, y_mm=y, content=words, size_mm=_LINE_SIZE_MM, ink=Ink.BANNER_TEXT),
        ),
    )


def make_rule(box: Box) -> Mark:
    """The line that closes the header."""
    return Segments(
        points_mm=np.array([[[box.left_mm, box.bottom_mm], [box.right_mm, box.bottom_mm]]]),
        ink=Ink.RULE,
    )


def make_identity(recording: Recording, box: Box, room_mm: float) -> list[Mark]:
    """Who was recorded, and when, at the left of the header."""
    names, size = _fit_name(printable(recording.patient.full_name) or "name not stated", room_mm)
    top = box.top_mm + (_ONE_NAME_LINE_MM if len(names) == 1 else _TWO_NAME_LINES_MM)
    marks: list[Mark] = [
        Text(
            x_mm=box.left_mm, y_mm=top + index * size * 1.15, content=name, size_mm=size, bold=True
        )
        for index, name in enumerate(names)
    ]
    facts = _fit_facts(recording, room_mm, most_lines=2 if len(names) == 1 else 1)
    for index, line in enumerate(reversed(facts)):
        y = box.bottom_mm - 1.9 - index * _LINE_SIZE_MM * 1.15
        marks.append(Text(x_mm=box.left_mm, y_mm=y, content=line, size_mm=_LINE_SIZE_MM))
    return marks


def _fit_facts(recording: Recording, room_mm: float, *, most_lines: int) -> list[str]:
    """Number, birth, sex and time in one line, or in two where there is room for two.

    Where even that is too narrow, the patient number alone is shortened.
    """
    told = [*describe_identity(recording.patient, recording.start), describe_start(recording.start)]
    facts = [printable(fact) for fact in told]
    lines = wrap(facts, room_mm, _LINE_SIZE_MM, joint=_JOINT)
    if len(lines) <= most_lines:
        return lines
    rest = _JOINT.join(facts[1:])
    left_over = room_mm - width_mm(f"{_JOINT}{rest}", _LINE_SIZE_MM)
    return [f"{shorten(facts[0], left_over, _LINE_SIZE_MM)}{_JOINT}{rest}"]


def _fit_name(name: str, room_mm: float) -> tuple[list[str], float]:
    """The name in the largest size that holds it in one line, else in two lines, else shortened."""
    for size in _NAME_SIZES_MM:
        if width_mm(name, size, bold=True) <= room_mm:
            return [name], size
    size = _NAME_SIZES_MM[-1]
    lines = wrap(name.split(" "), room_mm, size, bold=True)
    if len(lines) <= 2:
        return lines, size
    return [lines[0], shorten(" ".join(lines[1:]), room_mm, size, bold=True)], size


def _verdict(assessment: Assessment | None, box: Box) -> list[Mark]:
    radius = _SHAPE_RADIUS_MM
    verdict = assessment.verdict if assessment is not None else None
    x, y = box.right_mm - radius - 0.8, box.top_mm + radius + 0.9
    right = x - radius - 3.0
    word = str(verdict) if verdict is not None else "not checked"
    return [
        *draw_verdict_shape(verdict, x, y, radius),
        Text(
            x_mm=right,
            y_mm=box.top_mm + 5.0,
            content=word,
            size_mm=_WORD_SIZE_MM,
            bold=True,
            anchor=Anchor.END,
        ),
        Text(
            x_mm=right,
            y_mm=box.top_mm + 9.2,
            content=_verdict_note(assessment),
            size_mm=_SMALL_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=Anchor.END,
        ),
    ]


def _verdict_note(assessment: Assessment | None) -> str:
    if assessment is None:
        return "Couchside has not checked this recording"
    count = len(assessment.findings)
    findings = {0: "no findings", 1: "1 finding"}.get(count, f"{count} findings")
    return f"{findings}, checked by Couchside {assessment.code_version}"
