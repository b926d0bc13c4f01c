"""The band under the header: what the local protocol wants shown to a clinician now."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.tell_now import CALL, TellNow
from couchside.paper.frames import TELL_NOW_LINE_MM
from couchside.paper.inks import Ink
from couchside.paper.model import Box, Layer, Mark, Rectangle, Text
from couchside.paper.typeface import shorten, width_mm, wrap

MOST_LINES = 3
_SIZE_MM = 3.3
_NOTE_SIZE_MM = 2.4
_JOINT = "  ·  "
_INDENT_MM = 2.0
_GAP_MM = 4.0
_MORE = "more on the next page"


@dataclass(frozen=True, slots=True, kw_only=True)
class TellNowLines:
    """The values in lines, and whether all of them had room."""

    lines: tuple[str, ...] = ()
    is_whole: bool = True


def list_tell_now_lines(tell_now: TellNow | None, width: float) -> TellNowLines:
    """The values in lines, at most three."""
    if tell_now is None or not tell_now.items:
        return TellNowLines()
    room = width - 2 * _INDENT_MM - width_mm(CALL, _SIZE_MM, bold=True) - _GAP_MM
    lines = wrap([item.told for item in tell_now.items], room, _SIZE_MM, joint=_JOINT)
    if len(lines) <= MOST_LINES:
        return TellNowLines(lines=tuple(lines))
    rest = f"{_MORE}{_JOINT}{_JOINT.join(lines[MOST_LINES - 1 :])}"
    cut = shorten(rest, room, _SIZE_MM)
    return TellNowLines(lines=(*lines[: MOST_LINES - 1], cut), is_whole=False)


def make_tell_now_band(tell_now: TellNow, lines: list[str], box: Box) -> Layer:
    """A framed band: the call in bold, then each value with the protocol's own bound."""
    left = box.left_mm + _INDENT_MM
    values = left + width_mm(CALL, _SIZE_MM, bold=True) + _GAP_MM
    first = box.top_mm + TELL_NOW_LINE_MM / 2 + _SIZE_MM * 0.36
    marks: list[Mark] = [
        Rectangle(box=box, ink=Ink.SHAPE),
        Text(x_mm=left, y_mm=first, content=CALL, size_mm=_SIZE_MM, bold=True),
        *(
            Text(x_mm=values, y_mm=first + n * TELL_NOW_LINE_MM, content=line, size_mm=_SIZE_MM)
            for n, line in enumerate(lines)
        ),
    ]
    return Layer(name="tell now", marks=(*marks, *_example_note(tell_now, lines, values, box)))


def _example_note(tell_now: TellNow, lines: list[str], left_mm: float, box: Box) -> list[Mark]:
    """Whose protocol it is, behind the last line where there is room."""
    words = "example values" if tell_now.is_example else tell_now.protocol_title
    start = left_mm + width_mm(lines[-1], _SIZE_MM) + _GAP_MM
    room = box.right_mm - _INDENT_MM - start
    y = box.top_mm + (len(lines) - 0.5) * TELL_NOW_LINE_MM + _SIZE_MM * 0.36
    told = shorten(words, room, _NOTE_SIZE_MM) if room > 0 else ""
    if not told:
        return []
    return [Text(x_mm=start, y_mm=y, content=told, size_mm=_NOTE_SIZE_MM, ink=Ink.QUIET_TEXT)]
