"""The band across the top: who, when, and the verdict; under it the banner of deviations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.paper.frames import BANNER_LINE_MM, CONTENT_WIDTH_MM
from couchside.paper.identity import IdentityBlock, make_identity
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Layer, Mark, Rectangle, Segments, Text, printable
from couchside.paper.shapes import draw_verdict_shape
from couchside.paper.typeface import shorten, width_mm, wrap
from couchside.quality.model import Assessment

_LINE_SIZE_MM = 2.9
_JOINT = " · "
_WORD_SIZE_MM = 4.8
_SMALL_SIZE_MM = 2.5
_SHAPE_RADIUS_MM = 4.4
_EDGE_MM = 2.0
_HEAD_GAP_MM = 4.0

VERDICT_WIDTH_MM = 74.0
IDENTITY_ROOM_MM = CONTENT_WIDTH_MM - VERDICT_WIDTH_MM - 3.0
"""What the header leaves for the identity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """White words on dark under the header.

    Parameters
    ----------
    head : str
        In capitals, what it is about.
    lines : tuple of str
        What is said, wrapped; none of it is cut.
    """

    head: str
    lines: tuple[str, ...]


def make_header(
    identity: IdentityBlock, assessment: Assessment | None, decided: str, box: Box
) -> Layer:
    """Identity at the left, the verdict at the right, and under it what a person decided."""
    verdict = Box(
        left_mm=box.right_mm - VERDICT_WIDTH_MM,
        top_mm=box.top_mm,
        width_mm=VERDICT_WIDTH_MM,
        height_mm=box.height_mm,
    )
    return Layer(
        name="header",
        marks=(
            *make_identity(identity, box),
            *_verdict(assessment, verdict),
            *_decided(decided, verdict),
            make_rule(box),
        ),
    )


def make_titled_header(title: str, place: str, identity: IdentityBlock, box: Box) -> Layer:
    """Identity at the left, what the page is and which of how many at the right."""
    right = [(title, _WORD_SIZE_MM, 5.0), (place, _LINE_SIZE_MM, 10.2)]
    return Layer(
        name="header",
        marks=(
            *make_identity(identity, box),
            *(
                Text(
                    x_mm=box.right_mm,
                    y_mm=box.top_mm + down,
                    content=words,
                    size_mm=size,
                    bold=size == _WORD_SIZE_MM,
                    anchor=Anchor.END,
                )
                for words, size, down in right
            ),
            make_rule(box),
        ),
    )


def list_notices(identity: list[str], deviations: list[str]) -> list[Notice]:
    """What a reader must know before all else: whose it may be, and what is not standard."""
    told = [("IDENTITY", identity), ("NON-STANDARD", deviations)]
    return [_wrap_notice(head, facts) for head, facts in told if facts]


def make_banner(notices: list[Notice], box: Box) -> Layer:
    """The notices under one another, white words on dark."""
    marks: list[Mark] = [Rectangle(box=box, ink=Ink.BANNER)]
    left, y = box.left_mm + _EDGE_MM, box.top_mm + BANNER_LINE_MM - 0.15
    for notice in notices:
        marks.append(_banner_text(notice.head, left, y, bold=True))
        start = left + _head_mm(notice.head)
        for line in notice.lines:
            marks.append(_banner_text(line, start, y, bold=False))
            y += BANNER_LINE_MM
    return Layer(name="banner", marks=tuple(marks))


def count_lines(notices: list[Notice]) -> int:
    """How many lines the banner needs."""
    return sum(len(notice.lines) for notice in notices)


def _wrap_notice(head: str, facts: list[str]) -> Notice:
    room = CONTENT_WIDTH_MM - 2 * _EDGE_MM - _head_mm(head)
    words = printable(_JOINT.join(facts)).split(" ")
    return Notice(head=head, lines=tuple(wrap(words, room, _LINE_SIZE_MM)))


def _head_mm(head: str) -> float:
    return width_mm(head, _LINE_SIZE_MM, bold=True) + _HEAD_GAP_MM


def _banner_text(words: str, x_mm: float, y_mm: float, *, bold: bool) -> Text:
    return Text(
        x_mm=x_mm,
        y_mm=y_mm,
        content=words,
        size_mm=_LINE_SIZE_MM,
        ink=Ink.BANNER_TEXT,
        bold=bold,
    )


def make_rule(box: Box) -> Mark:
    """The line that closes the header."""
    return Segments(
        points_mm=np.array([[[box.left_mm, box.bottom_mm], [box.right_mm, box.bottom_mm]]]),
        ink=Ink.RULE,
    )


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
            y_mm=box.top_mm + 8.9,
            content=_verdict_note(assessment),
            size_mm=_SMALL_SIZE_MM,
            ink=Ink.QUIET_TEXT,
            anchor=Anchor.END,
        ),
    ]


def _decided(words: str, box: Box) -> list[Mark]:
    """What a person decided, left of the verdict's shape; the page tells all of it elsewhere."""
    if not words:
        return []
    right = box.right_mm - 2 * _SHAPE_RADIUS_MM - 3.8
    return [
        Text(
            x_mm=right,
            y_mm=box.top_mm + 12.0,
            content=shorten(printable(words), right - box.left_mm, _SMALL_SIZE_MM, bold=True),
            size_mm=_SMALL_SIZE_MM,
            bold=True,
            anchor=Anchor.END,
        )
    ]


def _verdict_note(assessment: Assessment | None) -> str:
    if assessment is None:
        return "Couchside has not checked this recording"
    count = len(assessment.findings)
    findings = {0: "no findings", 1: "1 finding"}.get(count, f"{count} findings")
    return f"{findings}, checked by Couchside {assessment.code_version}"
