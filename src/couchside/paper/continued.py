"""The pages after the first: in full what it had no room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from couchside.paper.footer import Footer, make_footer
from couchside.paper.frames import CONTENT_WIDTH_MM, Frames
from couchside.paper.header import make_titled_header
from couchside.paper.identity import IdentityBlock
from couchside.paper.inks import Ink
from couchside.paper.model import Anchor, Box, Drawing, Layer, Mark, Text, printable
from couchside.paper.moving import move_text
from couchside.paper.typeface import wrap

_SIZE_MM = 2.5
_HEAD_SIZE_MM = 3.1
_LINE_MM = 3.2
_ENTRY_GAP_MM = 0.7
_SECTION_GAP_MM = 2.4
_LEAST_UNDER_HEAD_MM = 12.0
_MOST_LINES_TOGETHER = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a section: where it begins, how wide it is, and how it is written."""

    left_mm: float
    width_mm: float
    is_bold: bool = False
    is_flush_right: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Entries under one heading; an entry has a text for each column, wrapped in it.

    Parameters
    ----------
    title : str
        The heading.
    columns : tuple of Column
        The same for all entries.
    entries : tuple of tuple of str
        A text for each column.
    """

    title: str
    columns: tuple[Column, ...]
    entries: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """Marks relative to their own top, which stand together, and the height that they take."""

    marks: tuple[Text, ...]
    height_mm: float
    title: str
    wants_below_mm: float = 0.0


def draw_continued(
    sections: Sequence[Section],
    frames: Frames,
    identity: IdentityBlock,
    footer: Footer,
    title: str,
) -> tuple[Drawing, ...]:
    """Set sections under one another, on as many pages as they take.

    Parameters
    ----------
    sections : sequence of Section
        In order; an entry stays on one page unless it is taller than one.
    frames : Frames
        Those of the first page.
    identity : IdentityBlock
        Stands on every page, as does the footer.
    footer : Footer
        As on the first page.
    title : str
        Of the drawings.

    Returns
    -------
    tuple of Drawing
        At least one; each says which page of how many it is, the first page counted.
    """
    top = frames.identity.bottom_mm + 2.0
    body = Box(
        left_mm=frames.identity.left_mm,
        top_mm=top,
        width_mm=CONTENT_WIDTH_MM,
        height_mm=frames.footer.top_mm - top,
    )
    pages = _divide([piece for section in sections for piece in _lay_out(section)], body)
    count = len(pages) + 1
    return tuple(
        Drawing(
            width_mm=frames.width_mm,
            height_mm=frames.height_mm,
            title=title,
            description=f"page {number} of {count}: findings, measures and remarks in full",
            layers=(
                make_titled_header(
                    "Continued", f"page {number} of {count}", identity, frames.identity
                ),
                Layer(name="continued", marks=marks),
                make_footer(footer, frames.footer),
            ),
        )
        for number, marks in enumerate(pages, start=2)
    )


def _lay_out(section: Section) -> list[_Piece]:
    pieces = [_lay_out_head(section.title, section.title)]
    for entry in section.entries:
        pieces += _lay_out_entry(entry, section)
    return [*pieces, _Piece(marks=(), height_mm=_SECTION_GAP_MM, title=section.title)]


def _lay_out_head(words: str, title: str) -> _Piece:
    head = Text(x_mm=0.0, y_mm=_HEAD_SIZE_MM, content=words, size_mm=_HEAD_SIZE_MM, bold=True)
    return _Piece(
        marks=(head,),
        height_mm=_HEAD_SIZE_MM * 1.5,
        title=title,
        wants_below_mm=_LEAST_UNDER_HEAD_MM,
    )


def _lay_out_entry(entry: tuple[str, ...], section: Section) -> list[_Piece]:
    """One piece; a tall one is split into its lines, so that a page may end within it."""
    lines: list[list[Text]] = []
    for text, column in zip(entry, section.columns, strict=True):
        words = printable(text).split(" ")
        wrapped = wrap(words, column.width_mm, _SIZE_MM, bold=column.is_bold)
        for index, line in enumerate(wrapped):
            lines += [[]] if index == len(lines) else []
            lines[index].append(_cell(line, column))
    if len(lines) > _MOST_LINES_TOGETHER:
        return [
            _Piece(marks=tuple(line), height_mm=_LINE_MM, title=section.title) for line in lines
        ]
    marks = tuple(
        move_text(mark, 0.0, n * _LINE_MM) for n, line in enumerate(lines) for mark in line
    )
    height_mm = len(lines) * _LINE_MM + _ENTRY_GAP_MM
    return [_Piece(marks=marks, height_mm=height_mm, title=section.title)]


def _cell(words: str, column: Column) -> Text:
    return Text(
        x_mm=column.left_mm + (column.width_mm if column.is_flush_right else 0.0),
        y_mm=_SIZE_MM,
        content=words,
        size_mm=_SIZE_MM,
        bold=column.is_bold,
        ink=Ink.TEXT,
        anchor=Anchor.END if column.is_flush_right else Anchor.START,
    )


def _divide(pieces: list[_Piece], body: Box) -> list[tuple[Mark, ...]]:
    """Pieces on pages; a heading never stands alone at the foot of one, and is told again."""
    pages: list[list[Mark]] = [[]]
    y = body.top_mm
    for piece in pieces:
        is_full = y + piece.height_mm + piece.wants_below_mm > body.bottom_mm
        if is_full and not piece.marks:
            continue
        if is_full and pages[-1]:
            again = _lay_out_head(f"{piece.title}, continued", piece.title)
            is_head = piece.wants_below_mm > 0
            pages.append([] if is_head else _placed(again, body, body.top_mm))
            y = body.top_mm + (0.0 if is_head else again.height_mm)
        pages[-1] += _placed(piece, body, y)
        y += piece.height_mm
    return [tuple(page) for page in pages]


def _placed(piece: _Piece, body: Box, y_mm: float) -> list[Mark]:
    return [move_text(mark, body.left_mm, y_mm) for mark in piece.marks]
