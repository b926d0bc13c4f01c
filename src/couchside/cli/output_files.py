"""Writing what a command makes: whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from couchside.errors import InvalidInput


def check_target(target: Path, *, suffixes: tuple[str, ...]) -> None:
    """Refuse a target that cannot be written to, before any work is done.

    Raises
    ------
    InvalidInput
        If its name ends otherwise, it is a folder, or there is no folder to put it into.
    """
    if target.suffix.lower() not in suffixes:
        raise InvalidInput(
            f"{target} should end in {' or '.join(suffixes)}; the ending says what is written"
        )
    if target.is_dir():
        raise InvalidInput(f"{target} is a folder; name the file to write")
    if not target.parent.is_dir():
        raise InvalidInput(f"there is no folder {target.parent}; make it first")


class PageFolder:
    """A folder that takes one page for each recording, under the recording's own name.

    Raises
    ------
    InvalidInput
        If it is no folder and cannot become one.
    """

    def __init__(self, folder: Path) -> None:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise InvalidInput(
                f"several pages go into a folder, and {folder} cannot be one ({error.strerror}); "
                "name a folder"
            ) from error
        self._folder = folder
        self._taken: set[str] = set()

    def write(self, recording: Path, page: bytes) -> None:
        """Write a recording's page; a name that was used before gets a number."""
        name, number = recording.stem, 1
        while name in self._taken:
            number += 1
            name = f"{recording.stem}-{number}"
        self._taken.add(name)
        write_whole(self._folder / f"{name}.pdf", page)


def write_whole(target: Path, content: bytes) -> None:
    """Write a file under another name first, then put it in its place.

    Raises
    ------
    InvalidInput
        If it cannot be written.
    """
    try:
        _write(target, content)
    except OSError as error:
        raise InvalidInput(
            f"{target} could not be written ({error.strerror}); choose another place"
        ) from error


def _write(target: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    written = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        written.chmod(0o666 & ~_get_umask())
        written.replace(target)
    except BaseException:
        written.unlink()
        raise


def _get_umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
