"""Under the plot: how it was recorded and drawn, where it comes from, and the caution."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from couchside.paper.frames import CONTENT_WIDTH_MM
from couchside.paper.inks import Ink
from couchside.paper.model import Box, Layer, Mark, Text, printable
from couchside.paper.sizes import PrintSettings
from couchside.paper.typeface import lacks_characters, shorten, wrap
from couchside.paper.wording import CAUTION, describe_provenance, describe_settings
from couchside.paper.writing_order import is_joined_script
from couchside.recording import Recording

_SIZE_MM = 2.45
_LINE_MM = 3.1
_LINES = 3
_FACT_MM = 90.0
_JOINT = "  ·  "


@dataclass(frozen=True, slots=True, kw_only=True)
class Footer:
    """Lines of facts, and whether all of them had room."""

    lines: tuple[str, ...]
    is_whole: bool


def list_facts(
    recording: Recording, settings: PrintSettings | None, shown: str, written: Sequence[str]
) -> list[str]:
    """How it was recorded and drawn, and where it comes from; `written` is what people wrote."""
    return [
        printable(fact)
        for fact in (
            *describe_settings(recording, settings, shown),
            *_notes_on_characters([printable(text) for text in written]),
            *describe_provenance(recording),
        )
    ]


def lay_out_footer(facts: list[str]) -> Footer:
    """At most three lines; where that is too little, long facts are shortened."""
    lines = wrap(facts, CONTENT_WIDTH_MM, _SIZE_MM, joint=_JOINT)
    if len(lines) <= _LINES:
        return Footer(lines=tuple(lines), is_whole=True)
    short = [shorten(fact, _FACT_MM, _SIZE_MM) for fact in facts]
    lines = wrap(short, CONTENT_WIDTH_MM, _SIZE_MM, joint=_JOINT)
    if len(lines) > _LINES:
        rest = _JOINT.join(lines[_LINES - 1 :])
        lines = [*lines[: _LINES - 1], shorten(rest, CONTENT_WIDTH_MM, _SIZE_MM)]
    return Footer(lines=tuple(lines), is_whole=False)


def make_footer(footer: Footer, box: Box) -> Layer:
    """The facts, then the caution in a line of its own."""
    marks: list[Mark] = [
        Text(
            x_mm=box.left_mm,
            y_mm=box.top_mm + 2.4 + index * _LINE_MM,
            content=line,
            size_mm=_SIZE_MM,
        )
        for index, line in enumerate(footer.lines)
    ]
    marks.append(
        Text(
            x_mm=box.left_mm,
            y_mm=box.bottom_mm - 0.4,
            content=CAUTION,
            size_mm=_SIZE_MM,
            ink=Ink.QUIET_TEXT,
        )
    )
    return Layer(name="footer", marks=tuple(marks))


def _notes_on_characters(texts: list[str]) -> list[str]:
    """What print cannot show of the words on the page."""
    notes = []
    if any(map(lacks_characters, texts)):
        notes.append("\ufffd stands for a character that the page's typeface lacks")
    if any(map(is_joined_script, texts)):
        notes.append("Arabic letters are printed unjoined")
    return notes
