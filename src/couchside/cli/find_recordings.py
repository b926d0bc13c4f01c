"""Which files a command line means: those named, and every recording in the folders named."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from couchside.errors import FormatError
from couchside.formats.csv_header import decode_table, find_header
from couchside.formats.foreign import find_foreign_kind
from couchside.formats.gathering import find_neighbour
from couchside.formats.parcel import ArrivedFile
from couchside.formats.registry import FORMATS, Format, find_format
from couchside.formats.zipped import is_zip
from couchside.recording import Lead

SNIFFED_BYTES = 1 << 20
TABLE_FORMAT = "csv"
TABLE_EXTENSIONS = frozenset({".csv", ".tsv"})
FEWEST_LEADS = 2
PROMISING_EXTENSIONS = frozenset(
    extension for each in FORMATS if each.name != TABLE_FORMAT for extension in each.extensions
)
"""Names that promise a recording even where the content does not keep it; tables and texts are
mostly something else, so that of them the content alone decides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFile:
    """A file to read.

    `must_be_recording` is False where it merely lay in a folder, under a name that promises
    nothing: then it may turn out to be something else.
    """

    path: Path
    must_be_recording: bool


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
    found = [_search(path) if is_folder(path) else _take(path) for path in paths]
    files: dict[Path, FoundFile] = {}
    for file in (file for each in found for file in each.files):
        files.setdefault(file.path, file)
    return Found(
        files=tuple(files.values()),
        closed_folders=tuple(folder for each in found for folder in each.closed_folders),
        passed_over_count=sum(each.passed_over_count for each in found),
    )


def is_folder(path: Path) -> bool:
    """Whether it is one; False, too, where that cannot be told, which reading then explains."""
    try:
        return path.is_dir()
    except OSError:
        return False


def _take(path: Path) -> Found:
    return Found(files=(FoundFile(path=path, must_be_recording=True),))


def _search(folder: Path) -> Found:
    closed: list[Path] = []
    files = [_Looked.at(path) for path in _walk(folder, closed)]
    parts = {part for file in files for part in file.parts}
    others = [file for file in files if file.path not in parts]
    recordings = [
        FoundFile(path=file.path, must_be_recording=_is_promising(file.path))
        for file in others
        if file.is_worth_reading
    ]
    return Found(
        files=tuple(recordings),
        closed_folders=tuple(closed),
        passed_over_count=len(others) - len(recordings),
    )


def _walk(folder: Path, closed: list[Path]) -> list[Path]:
    """Every file that is not hidden; folders that cannot be opened are added to `closed`."""
    files: list[Path] = []
    for parent, folders, names in os.walk(
        folder, onerror=lambda error: closed.append(Path(error.filename))
    ):
        folders[:] = [name for name in folders if not name.startswith(".")]
        files.extend(Path(parent, name) for name in names if not name.startswith("."))
    return sorted((path for path in files if not _is_special(path)), key=_as_a_person_sorts)


def _is_special(path: Path) -> bool:
    """Whether it is a pipe, a socket or a device, which may never end; a lost link is, too."""
    try:
        return not path.is_file()
    except OSError:
        return False


def _as_a_person_sorts(path: Path) -> list[tuple[int, str]]:
    """So that 2 comes before 10."""
    pieces: Iterable[str] = re.findall(r"\d+|\D+", str(path))
    return [(int(piece), "") if piece.isdecimal() else (-1, piece) for piece in pieces]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Looked:
    """What a look into a file tells: whether to read it, and which files are its parts."""

    path: Path
    is_worth_reading: bool
    parts: tuple[Path, ...] = ()

    @classmethod
    def at(cls, path: Path) -> _Looked:
        try:
            with path.open("rb") as file:
                head = file.read(SNIFFED_BYTES)
        except OSError:
            return cls(path=path, is_worth_reading=True)
        known = find_format(head)
        if known is not None and _may_be(path, known, head):
            return cls(path=path, is_worth_reading=True, parts=_list_parts(path, known, head))
        foreign = find_foreign_kind(head)
        is_ecg = foreign is not None and foreign.is_ecg
        return cls(path=path, is_worth_reading=is_ecg or is_zip(head) or _is_promising(path))


def _may_be(path: Path, known: Format, head: bytes) -> bool:
    """Whether name and content go together: much that is no recording looks like a table."""
    suffix = path.suffix.lower()
    if known.name != TABLE_FORMAT or suffix in TABLE_EXTENSIONS:
        return True
    return suffix in {"", *known.extensions} and _names_leads_over_numbers(head)


def _names_leads_over_numbers(head: bytes) -> bool:
    """Whether a text of no telling name is a table of leads, and no prose with a comma in it."""
    text = decode_table(head)
    header = None if text is None else find_header(text)
    if text is None or header is None:
        return False
    known_leads = {lead.value for lead in Lead}
    lead_count = sum(column.name in known_leads for column in header.columns)
    row = next((line for line in text.splitlines()[header.first_row :] if line.strip()), "")
    cells = [cell for cell in row.split(header.delimiter) if cell.strip()]
    return lead_count >= FEWEST_LEADS and bool(cells) and all(map(_is_number, cells))


def _is_number(cell: str) -> bool:
    try:
        float(cell.strip().strip('"').replace(",", "."))
    except ValueError:
        return False
    return True


def _is_promising(path: Path) -> bool:
    return path.suffix.lower() in PROMISING_EXTENSIONS


def _list_parts(path: Path, known: Format, head: bytes) -> tuple[Path, ...]:
    try:
        names = known.list_companions(ArrivedFile(name=path.name, content=head))
    except FormatError:
        return ()
    parts = (find_neighbour(path, name) for name in names)
    return tuple(part for part in parts if part is not None)
