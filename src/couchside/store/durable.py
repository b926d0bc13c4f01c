"""Write a file so that after any crash it is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

READ_ONLY = 0o440


def write_durably(target: Path, content: bytes, *, unfinished: Path) -> None:
    """Put content under a name, whole and safe from a loss of power, before returning.

    It is written and synced in `unfinished`, a folder on the same file system, then renamed, and
    the folders that name it are synced. The file may then only be read.
    """
    make_folder(unfinished)
    make_folder(target.parent)
    temporary = _write_synced(content, unfinished)
    _rename(temporary, target)
    sync_folder(target.parent)


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
    with tempfile.NamedTemporaryFile(dir=folder, delete=False) as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    path = Path(file.name)
    path.chmod(READ_ONLY)
    return path


def _rename(temporary: Path, target: Path) -> None:
    temporary.replace(target)
