"""The application that the commands belong to: its help, its exit codes, how it ends."""

from __future__ import annotations

from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from couchside.cli.exits import MEANINGS, PRECEDENCE
from couchside.version import __version__

_EXIT_CODES = "\n".join(
    ["\b", "Exit codes:"]
    + [f"{code.value:>5}  {meaning}" for code, meaning in MEANINGS.items()]
    + [PRECEDENCE]
)


class StoppedByCtrlC(Exception):
    """Ctrl-C, under a name that Typer leaves alone."""


class PipeClosed(Exception):
    """Nobody reads the output any more, under a name that Typer leaves alone."""


class _Commands(TyperGroup):
    """Hands Ctrl-C and a closed pipe to the outermost shell, which knows their exit codes."""

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt as stop:
            raise StoppedByCtrlC from stop
        except BrokenPipeError as closed:
            raise PipeClosed from closed


app = typer.Typer(
    cls=_Commands,
    epilog=_EXIT_CODES,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def print_version(is_wanted: bool) -> None:  # noqa: FBT001 - Typer calls it with the option's value
    """Print the version and end, where it is wanted."""
    if is_wanted:
        typer.echo(f"Couchside {__version__}")
        raise typer.Exit


@app.callback()
def begin(
    *,
    version: Annotated[
        bool,
        typer.Option("--version", help="Print the version.", callback=print_version, is_eager=True),
    ] = False,
) -> None:
    """Keep this 12-lead ECG, or record it again, and then which electrode, why, and what to do.

    Couchside is not a medical device and never diagnoses; a clinician reads every ECG.
    """
