"""Write a file so that after any crash it is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from couchside.errors import StoreError

READ_ONLY = 0o440


def write_durably(target: Path, content: bytes, *, unfinished: Path) -> None:
    """Put content under a name, whole and safe from a loss of power, before returning.

    It is written and synced in `unfinished`, a folder on the same file system, then renamed, and
    the folders that name it are synced. The file may then only be read. Raises StoreError where the
    disk refuses, and leaves nothing half written then.
    """
    try:
        make_folder(unfinished)
        make_folder(target.parent)
        _rename(_write_synced(content, unfinished), target)
        sync_folder(target.parent)
    except OSError as error:
        raise StoreError(
            f"{target.name} could not be written ({error.strerror}); "
            "check that the disk has room and that the data folder may be written"
        ) from error


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, for this user alone, and sync what names them."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(mode=0o700, exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Bring a folder's own entries to the disk, where the system knows such a thing."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _write_synced(content: bytes, folder: Path) -> Path:
    descriptor, name = tempfile.mkstemp(dir=folder)
    path = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        path.chmod(READ_ONLY)
    except BaseException:
        path.unlink()  # on a full disk, what is half written would keep it full
        raise
    return path


def _rename(temporary: Path, target: Path) -> None:
    temporary.replace(target)
