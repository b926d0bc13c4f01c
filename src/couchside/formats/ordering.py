"""Which of the files that arrived together belong to one recording, and which is read first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from couchside.errors import CorruptFile, FormatError, InvalidInput
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.registry import find_format
from couchside.formats.zipped import is_zip, unpack_zip

Files = tuple[ArrivedFile, ...]


def order_parcel(parcel: Parcel) -> Parcel:
    """Put the file to be read first in front, and leave out files that it does not refer to.

    Parameters
    ----------
    parcel : Parcel
        Files in any order; or one zip file, which is unpacked.

    Returns
    -------
    Parcel
        The main file and those that it refers to, as far as they came along.

    Raises
    ------
    CorruptFile
        If there is more than one recording.
    FormatError
        If a zip file cannot be unpacked within its limits.
    """
    files = unpack_zip(parcel.main) if is_zip(parcel.main.content) else parcel.files
    references = _list_all_references(files)
    mains = _find_mains(files, references)
    if not mains:
        return Parcel(files=files)
    if len(mains) > 1:
        raise CorruptFile(
            f"{parcel.main.name} brings {len(mains)} recordings ({mains[0].name}, {mains[1].name}"
            f"{', …' if len(mains) > 2 else ''}) where one is read at a time; "
            "give them one by one"
        )
    return Parcel(files=(mains[0], *_follow(mains[0], files, references)))


def group_into_parcels(files: Sequence[ArrivedFile]) -> tuple[Parcel, ...]:
    """Sort files that were handed in at once into one parcel for each recording.

    Parameters
    ----------
    files : sequence of ArrivedFile
        In any order; zip files among them are unpacked, and kept as they are where they cannot
        be, so that reading says why.

    Returns
    -------
    tuple of Parcel
        Each recording with the files that it refers to, then each file that belongs to none.

    Raises
    ------
    InvalidInput
        If two different files have one name, so that it is not clear which is meant.
    """
    parcels: list[Parcel] = []
    plain: list[ArrivedFile] = []
    for file in files:
        if is_zip(file.content):
            parcels.extend(_group_zip(file))
        else:
            plain.append(file)
    return (*_group(_drop_doubles(plain)), *parcels)


def list_references(file: ArrivedFile) -> tuple[str, ...]:
    """Names of the files that a file refers to; none where that cannot be told."""
    form = find_format(file.content)
    if form is None:
        return ()
    try:
        return form.list_companions(file)
    except FormatError:
        return ()  # the reader will say what is wrong with it


References = Mapping[str, tuple[str, ...]]
"""What each file of a known format refers to, by its name."""


def _list_all_references(files: Files) -> References:
    return {
        file.name: list_references(file) for file in files if find_format(file.content) is not None
    }


def _find_mains(files: Files, references: References) -> Files:
    """Files of a known format to which no other file refers."""
    referred = {name for own, listed in references.items() for name in listed if name != own}
    return tuple(file for file in files if file.name in references and file.name not in referred)


def _follow(main: ArrivedFile, files: Files, references: References) -> Files:
    """All that a file refers to, directly or through others, in that order."""
    by_name = {file.name: file for file in files}
    found = {main.name: main}
    waiting = [main.name]
    while waiting:
        for name in references.get(waiting.pop(0), ()):
            if name in by_name and name not in found:
                found[name] = by_name[name]
                waiting.append(name)
    return tuple(found.values())[1:]


def _group(files: Files) -> tuple[Parcel, ...]:
    parcels = list(_make_parcels(files))
    placed = {file.name for parcel in parcels for file in parcel.files}
    alone = [Parcel(files=(file,)) for file in files if file.name not in placed]
    return (*parcels, *alone)


def _group_zip(file: ArrivedFile) -> tuple[Parcel, ...]:
    try:
        inside = unpack_zip(file)
    except FormatError:
        inside = ()
    return _make_parcels(inside) or (Parcel(files=(file,)),)


def _make_parcels(files: Files) -> tuple[Parcel, ...]:
    """One for each file to which no other refers."""
    references = _list_all_references(files)
    mains = _find_mains(files, references)
    return tuple(Parcel(files=(main, *_follow(main, files, references))) for main in mains)


def _drop_doubles(files: list[ArrivedFile]) -> Files:
    by_name: dict[str, ArrivedFile] = {}
    for file in files:
        if by_name.setdefault(file.name, file).content != file.content:
            raise InvalidInput(
                f"two different files are named {file.name}, so that it is not clear which one a "
                "header means; hand them in one after the other"
            )
    return tuple(by_name.values())
