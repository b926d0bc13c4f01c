"""A file on disk, with the files beside it that it refers to, as one parcel."""

from __future__ import annotations

import stat
from os import PathLike, fsencode
from pathlib import Path

from couchside.errors import InvalidInput
from couchside.formats.limits import check_byte_count
from couchside.formats.ordering import list_references, order_parcel
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.registry import find_format
from couchside.formats.zipped import is_zip

HEADER_EXTENSION = ".hea"
"""Under which a WFDB header lies beside its signal files."""

SNIFFED_BYTES = 65_536
"""Read of a file in order to tell whether it must be read through a header beside it."""


def gather_parcel(path: str | PathLike[str]) -> Parcel:
    """Collect a file and the files that it refers to.

    Parameters
    ----------
    path : path
        A recording; a WFDB header, or one of its signal files, or the record's name without
        extension; or a zip file with one recording in it.

    Returns
    -------
    Parcel
        The file to be read first, then those that it refers to and that are there.

    Raises
    ------
    InvalidInput
        If the path is missing, a folder, or may not be read.
    FormatError
        If it is too large to be one ECG, or a zip file that cannot be unpacked.
    """
    try:
        chosen = _choose_path(Path(path))
    except OSError as error:  # a closed folder on the way, or a name that no disk can hold
        raise explain_unreadable(Path(path), error) from error
    main = _load(chosen, chosen.name)
    files = {main.name: main}
    waiting = [main]
    while waiting:
        for name in list_references(waiting.pop(0)):
            beside = find_neighbour(chosen, name)
            if beside is not None and name not in files and _is_plain(beside):
                files[name] = _load(beside, chosen.name)
                check_byte_count(chosen.name, sum(len(file.content) for file in files.values()))
                waiting.append(files[name])
    parcel = Parcel(files=tuple(files.values()))
    return order_parcel(parcel) if is_zip(main.content) else parcel


def find_neighbour(path: Path, name: str) -> Path | None:
    """Where a file that another refers to would lie.

    Parameters
    ----------
    path : Path
        The file that refers to it.
    name : str
        As that file writes it.

    Returns
    -------
    Path or None
        In the same folder; None for a name that leads elsewhere, which is not followed.
    """
    neighbour = path.parent / name
    return neighbour if neighbour.name == name and name not in {"", ".."} else None


def explain_unreadable(path: Path, error: OSError) -> InvalidInput:
    """The error that says why the system does not let a file be read."""
    if isinstance(error, PermissionError):
        return InvalidInput(
            f"{path.name} may not be read by this user; ask for the right to read it"
        )
    return InvalidInput(
        f"{path.name} cannot be read ({error.strerror or type(error).__name__}); copy it again"
    )


def _choose_path(path: Path) -> Path:
    """The file to be read first: the path itself, or the header that explains it."""
    mode = _find_mode(path)
    if mode is None:
        record = path.with_name(f"{path.name}{HEADER_EXTENSION}") if path.name else path
        if _is_plain(record):
            return record
        raise InvalidInput(f"there is no file {path.name or path}; check its name and folder")
    if stat.S_ISDIR(mode):
        raise InvalidInput(f"{path.name or path} is a folder; give one recording's file")
    if not stat.S_ISREG(mode):
        raise InvalidInput(f"{path.name} is no plain file; give one recording's file")
    header = path.with_name(f"{path.stem}{HEADER_EXTENSION}")
    if header != path and _is_plain(header) and _is_explained_by(header, path):
        return header
    return path


def _find_mode(path: Path) -> int | None:
    """What kind of file it is; None where there is none."""
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError, ValueError):  # ValueError: a NUL in the name
        return None
    except OSError as error:
        raise explain_unreadable(path, error) from error


def _is_plain(path: Path) -> bool:
    return stat.S_ISREG(_find_mode(path) or 0)


def _is_explained_by(header: Path, path: Path) -> bool:
    """Whether a file says nothing by itself, and the header beside it names it."""
    head = _read_bytes(path, SNIFFED_BYTES)
    if is_zip(head) or find_format(head) is not None:
        return False
    return fsencode(path.name) in _load(header, header.name).content


def _load(path: Path, asked_for: str) -> ArrivedFile:
    try:
        byte_count = path.stat().st_size
    except OSError as error:
        raise explain_unreadable(path, error) from error
    check_byte_count(asked_for, byte_count)
    return ArrivedFile(name=path.name, content=_read_bytes(path, byte_count))


def _read_bytes(path: Path, byte_count: int) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(byte_count)
    except OSError as error:
        raise explain_unreadable(path, error) from error
