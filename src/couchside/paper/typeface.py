"""The one typeface of the page, shipped with the package, and the room that words take in it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from io import BytesIO

from reportlab.pdfbase.ttfonts import TTFont

FAMILY = "DejaVu Sans"
FALLBACK_FAMILIES = "Verdana, sans-serif"

_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_UNKNOWN = "\ufffd"


@cache
def get_font(bold: bool) -> TTFont:  # noqa: FBT001 (a key of the cache)
    """The regular or the bold face."""
    name = _FILES[bold]
    content = (files("couchside.paper") / "fonts" / name).read_bytes()
    return TTFont(name.removesuffix(".ttf"), BytesIO(content))


def width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Room that a text takes in its line."""
    return float(get_font(bold).stringWidth(text, size_mm))


def without_unknown_characters(text: str) -> str:
    """The text with U+FFFD in the place of every character that the typeface lacks."""
    known = get_font(bold=False).face.charToGlyph
    return "".join(mark if ord(mark) in known else _UNKNOWN for mark in text)


def lacks_characters(text: str) -> bool:
    """Whether the typeface lacks a character of the text."""
    return without_unknown_characters(text) != text


def shorten(text: str, room_mm: float, size_mm: float, *, bold: bool = False) -> str:
    """The text if it fits, else as much as fits with "…" at its end."""
    if width_mm(text, size_mm, bold=bold) <= room_mm:
        return text
    kept = len(text)
    while kept > 0 and width_mm(text[:kept].rstrip() + "…", size_mm, bold=bold) > room_mm:
        kept -= 1
    return text[:kept].rstrip() + "…"


def wrap(
    words: list[str], room_mm: float, size_mm: float, *, joint: str = " ", bold: bool = False
) -> list[str]:
    """Words set in lines that fit the room, each line as full as can be.

    A word wider than the room is broken, so that none of it is lost.
    """
    lines: list[str] = []
    line = ""
    for word in words:
        longer = f"{line}{joint}{word}" if line else word
        if width_mm(longer, size_mm, bold=bold) <= room_mm:
            line = longer
        else:
            lines += [line] if line else []
            *whole, line = _break(word, room_mm, size_mm, bold=bold)
            lines += whole
    return [*lines, line] if line else lines


def _break(word: str, room_mm: float, size_mm: float, *, bold: bool) -> list[str]:
    """The word in as few pieces as fit the room, at least a character each."""
    pieces = [""]
    for mark in word:
        if pieces[-1] and width_mm(pieces[-1] + mark, size_mm, bold=bold) > room_mm:
            pieces.append("")
        pieces[-1] += mark
    return [piece.strip() for piece in pieces]
