"""Where a command's words go: the answer to stdout, what goes wrong and progress to stderr."""

from __future__ import annotations

import os
import sys

from rich.console import Console

_ENDLESS = 100_000
"""A pipe has no width; wrapping would only break what `grep` looks for."""


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
