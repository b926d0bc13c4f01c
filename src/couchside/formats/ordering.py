"""Which of the files that arrived together is to be read first."""

from __future__ import annotations

from couchside.errors import CorruptFile, FormatError
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.registry import find_format
from couchside.formats.zipped import is_zip, unpack_zip


def order_parcel(parcel: Parcel) -> Parcel:
    """Put the file to be read first in front, and leave out files that nothing refers to.

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
    mains = find_mains(files)
    if not mains:
        return Parcel(files=files)
    if len(mains) > 1:
        names = " and ".join(file.name for file in mains[:2])
        raise CorruptFile(
            f"{parcel.main.name} brings more than one recording ({names}); give one at a time"
        )
    return Parcel(files=(mains[0], *_follow(mains[0], files)))


def find_mains(files: tuple[ArrivedFile, ...]) -> tuple[ArrivedFile, ...]:
    """Files of a known format to which no other file refers."""
    known = [file for file in files if find_format(file.content) is not None]
    referred = {name for file in known for name in list_references(file)}
    return tuple(file for file in known if file.name not in referred)


def list_references(file: ArrivedFile) -> tuple[str, ...]:
    """Names of the files that a file refers to; none where that cannot be told."""
    form = find_format(file.content)
    if form is None:
        return ()
    try:
        return form.list_companions(file)
    except FormatError:
        return ()  # the reader will say what is wrong with it


def _follow(main: ArrivedFile, files: tuple[ArrivedFile, ...]) -> tuple[ArrivedFile, ...]:
    by_name = {file.name: file for file in files}
    found: dict[str, ArrivedFile] = {}
    waiting = [main]
    while waiting:
        for name in list_references(waiting.pop(0)):
            if name in by_name and name not in found and name != main.name:
                found[name] = by_name[name]
                waiting.append(by_name[name])
    return tuple(found.values())
