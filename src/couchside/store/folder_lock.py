"""One server at a time on one data folder."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from couchside.errors import StoreError

LOCK_FILE = "serving.lock"


@contextmanager
def hold_folder(folder: Path) -> Iterator[None]:
    """Hold a data folder for as long as it is served; the system lets go when a process dies.

    Raises StoreError where another process holds it.
    """
    descriptor = os.open(folder / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        if not _try_lock(descriptor):
            raise StoreError(
                f"another Couchside serves {folder} already; use that one, stop it first, or name "
                "another folder with --data"
            )
        yield
    finally:
        os.close(descriptor)


if sys.platform == "win32":
    import msvcrt

    def _try_lock(descriptor: int) -> bool:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _try_lock(descriptor: int) -> bool:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
