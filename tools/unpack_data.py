"""Unpack a folder of archived open recordings and print where they lie.

``python3 tools/unpack_data.py ARCHIVES [FOLDER]``; standard library alone, on any Python from
3.11.0, whose ``tarfile`` may not know extraction filters yet. Unpacking twice is harmless.
"""

from __future__ import annotations

import os
import shutil
import sys
import tarfile
from pathlib import Path


def main(arguments: list[str]) -> int:
    """Unpack every archive in the first folder named into the second, or where the data lies."""
    archives = Path(arguments[0])
    usual = os.environ.get("COUCHSIDE_DATA") or Path.home() / ".cache" / "couchside-data"
    target = Path(arguments[1] if len(arguments) > 1 else usual)
    target.mkdir(parents=True, exist_ok=True)
    for archive in sorted(archives.glob("*.tar.xz")):
        _unpack(archive, target)
    shutil.copytree(archives / "formats", target / "formats", dirs_exist_ok=True)
    sys.stdout.write(f"{target}\n")
    return 0


def _unpack(archive: Path, target: Path) -> None:
    """Extract one archive unless a mark says that this very archive was extracted before."""
    mark = target / f".{archive.name}.{archive.stat().st_size}"
    if mark.exists():
        return
    with tarfile.open(archive) as members:
        if hasattr(tarfile, "data_filter"):
            members.extractall(target, filter="data")
        else:
            members.extractall(target)  # noqa: S202 -- own archives, on a Python without filters
    mark.touch()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
