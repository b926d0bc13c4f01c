"""Where a command's words go: the answer to stdout, what goes wrong and progress to stderr."""

from __future__ import annotations

import os
import sys

from rich.console import Console
from rich.text import Text

_ENDLESS = 100_000
"""A pipe has no width; wrapping would only break what `grep` looks for."""

_LEAST_WIDTH = 20


def make_answer_console() -> Console:
    """For answers; plain text, never wrapped, where stdout is no terminal or NO_COLOR is set."""
    is_terminal = sys.stdout.isatty()
    return Console(
        file=sys.stdout,
        width=None if is_terminal else _ENDLESS,
        force_terminal=is_terminal,
        no_color=bool(os.environ.get("NO_COLOR")),
        markup=False,
        highlight=False,
        emoji=False,
    )


def make_progress_console() -> Console:
    """For the progress bar, which shows on a terminal alone."""
    return Console(file=sys.stderr, markup=False, highlight=False, emoji=False)


def say(console: Console, text: Text, *, indent: int = 0, hangs: bool = False) -> None:
    """Print without the blanks with which Rich fills a line, wrapped only on a terminal.

    Each line is indented; where it `hangs`, each but the first.
    """
    for number, line in enumerate(text.wrap(console, max(console.width - indent, _LEAST_WIDTH))):
        line.rstrip()
        before = " " * (0 if hangs and number == 0 else indent)
        console.print(Text(before) + line, soft_wrap=True)
