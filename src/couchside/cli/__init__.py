"""Commands: a thin shell over the library. `main` is where the installed command begins."""

from couchside.cli.shell import main

__all__ = ["main"]
