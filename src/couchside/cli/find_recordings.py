"""Which files a command line means: those named, and every recording in the folders named."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from couchside.errors import FormatError
from couchside.formats.parcel import ArrivedFile
from couchside.formats.registry import FORMATS, Format, find_format

SNIFFED_BYTES = 1 << 20
TABLE_FORMAT = "csv"
"""Tables are mostly something else than an ECG, so that in a folder only their content counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFile:
    """A file to read; what lay in a folder may turn out to be no recording."""

    path: Path
    was_named: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the command line means, in the order named or found.

    Parameters
    ----------
    files : tuple of FoundFile
        To be read.
    closed_folders : tuple of Path
        Folders that may not be looked into.
    passed_over_count : int
        Files in the folders that no reader knows; the parts of a recording are not counted.
    """

    files: tuple[FoundFile, ...]
    closed_folders: tuple[Path, ...] = ()
    passed_over_count: int = 0


def find_recordings(paths: Sequence[Path]) -> Found:
    """Take named files as they are, and from each folder, however deep, what some reader knows."""
    found = [_search(path) if path.is_dir() else _take(path) for path in paths]
    return Found(
        files=tuple({file.path: file for each in found for file in each.files}.values()),
        closed_folders=tuple(folder for each in found for folder in each.closed_folders),
        passed_over_count=sum(each.passed_over_count for each in found),
    )


def _take(path: Path) -> Found:
    return Found(files=(FoundFile(path=path, was_named=True),))


def _search(folder: Path) -> Found:
    closed: list[Path] = []
    known: list[tuple[Path, Format | None]] = []
    parts: set[Path] = set()
    for path in _walk(folder, closed):
        found_format = _find_format(path)
        known.append((path, found_format))
        if found_format is not None:
            parts.update(_list_parts(path, found_format))
    recordings = [
        path for path, found_format in known if path not in parts and _is_worth(path, found_format)
    ]
    return Found(
        files=tuple(FoundFile(path=path, was_named=False) for path in recordings),
        closed_folders=tuple(closed),
        passed_over_count=len({path for path, _ in known} - parts) - len(recordings),
    )


def _walk(folder: Path, closed: list[Path]) -> list[Path]:
    """Every file that is not hidden; folders that cannot be opened are added to `closed`."""
    files: list[Path] = []
    for parent, folders, names in os.walk(
        folder, onerror=lambda error: closed.append(Path(error.filename))
    ):
        folders[:] = [name for name in folders if not name.startswith(".")]
        files.extend(Path(parent, name) for name in names if not name.startswith("."))
    return sorted((path for path in files if path.is_file()), key=_as_a_person_sorts)


def _as_a_person_sorts(path: Path) -> list[tuple[int, str]]:
    """So that 2 comes before 10."""
    pieces: Iterable[str] = re.findall(r"\d+|\D+", str(path))
    return [(int(piece), "") if piece.isdecimal() else (-1, piece) for piece in pieces]


def _find_format(path: Path) -> Format | None:
    try:
        with path.open("rb") as file:
            return find_format(file.read(SNIFFED_BYTES))
    except OSError:
        return None


def _list_parts(path: Path, found_format: Format) -> list[Path]:
    try:
        file = ArrivedFile(name=path.name, content=path.read_bytes())
        return [path.with_name(name) for name in found_format.list_companions(file)]
    except (FormatError, OSError, ValueError):
        return []


def _is_worth(path: Path, found_format: Format | None) -> bool:
    """Whether to try: its content is known, or its name promises what its content does not keep."""
    promised = {
        extension for each in FORMATS if each.name != TABLE_FORMAT for extension in each.extensions
    }
    return found_format is not None or path.suffix.lower() in promised
