"""Files that a department owns: small texts in TOML, read whole."""

from __future__ import annotations

from pathlib import Path

from couchside.errors import InvalidInput

MAX_BYTES = 1 << 20

Stamp = tuple[tuple[str, int, int], ...]
"""Name, size and time of change of each."""


def stamp_owned_files(folder: Path) -> Stamp:
    """Tells whether any TOML file in a folder has been changed, added or taken away."""
    found = ((path.name, path.stat()) for path in sorted(folder.glob("*.toml")))
    return tuple((name, stat.st_size, stat.st_mtime_ns) for name, stat in found)


def read_owned_file(path: Path, what: str) -> str:
    """The text of a file; raises InvalidInput where it cannot be read, is no text, or is too long.

    Parameters
    ----------
    path : Path
        Where it lies.
    what : str
        What it is, for messages, as "protocol".
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except OSError as error:
        raise InvalidInput(
            f"the {what} {path} cannot be read ({error.strerror}); name a TOML file"
        ) from error
    if len(content) > MAX_BYTES:
        raise InvalidInput(f"{path.name} has more than 1 MB, which is no {what}; name another")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InvalidInput(f"{path.name} is not UTF-8 text; save it as UTF-8") from error
