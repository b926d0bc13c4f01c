"""Sentences and text from files, made safe for a terminal."""

from __future__ import annotations

import sys


def complain(sentence: str) -> None:
    """Say on stderr what went wrong, in one line."""
    print(f"couchside: {printable(sentence)}", file=sys.stderr)  # noqa: T201 - a command's own voice


def complain_of(aside: str) -> None:
    """Say on stderr what is to be said beside an answer, where there is something."""
    if aside:
        complain(aside)


def printable(text: str) -> str:
    """The text on one line, with each character that could steer a terminal replaced by `�`."""
    one_line = " ".join(text.split())
    return "".join(character if character.isprintable() else "�" for character in one_line)
