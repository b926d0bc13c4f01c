"""A zip file that holds one recording's files, unpacked within hard limits."""

from __future__ import annotations

import struct
import zipfile
import zlib
from io import BytesIO
from pathlib import PurePosixPath

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats.limits import MAX_FILE_BYTES
from couchside.formats.parcel import ArrivedFile

MAX_MEMBERS = 100
"""Files in one zip: a record in many segments has some dozens."""

MAX_RATIO = 50.0
"""Unpacked over packed bytes: samples of ECG shrink 2 to 5 times, tables of numbers up to 10."""

SMALL_BYTES = 1024 * 1024
"""Below this the ratio does not matter: a flat line shrinks a thousandfold and is harmless."""


def is_zip(content: bytes) -> bool:
    """Whether these bytes begin as a zip file does, be it an empty one."""
    return content.startswith((b"PK\x03\x04", b"PK\x05\x06"))


def unpack_zip(file: ArrivedFile) -> tuple[ArrivedFile, ...]:
    """The files inside a zip file, without their folders.

    Parameters
    ----------
    file : ArrivedFile
        The zip file.

    Returns
    -------
    tuple of ArrivedFile
        In the order of the zip file's directory; hidden files and macOS extras are left out.

    Raises
    ------
    UnsupportedFeature
        If there are more than 100 files, more than 256 MB, a ratio above 50, a password, or an
        unusual compression. The limits are checked before anything is inflated, and no file is
        inflated beyond the length that was checked.
    CorruptFile
        If the zip file is damaged, or empty, or two files have one name.
    """
    try:
        with zipfile.ZipFile(BytesIO(file.content)) as archive:
            members = [member for member in archive.infolist() if _is_wanted(member)]
            _check_limits(file, archive.infolist())
            unpacked = tuple(_inflate(archive, member) for member in members)
    except _DAMAGE as error:
        raise CorruptFile(
            f"{file.name} begins as a zip file, but cannot be unpacked ({error}); "
            "copy or pack it again",
            format_name="zip",
        ) from error
    _check_names(file, unpacked)
    return unpacked


_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    LookupError,
    OSError,
    OverflowError,
    ValueError,
)
_STORED_OR_DEFLATED = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_ENCRYPTED = 0x1


def _is_wanted(member: zipfile.ZipInfo) -> bool:
    path = PurePosixPath(member.filename)
    return not (member.is_dir() or path.name.startswith(".") or "__MACOSX" in path.parts)


def _check_limits(file: ArrivedFile, members: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(member.file_size for member in members)
    ratio = unpacked / max(1, len(file.content))
    if len(members) > MAX_MEMBERS:
        raise _beyond(file, f"holds {len(members)} files, and up to {MAX_MEMBERS}")
    if unpacked > MAX_FILE_BYTES:
        raise _beyond(
            file,
            f"would unpack to {unpacked / 1e6:.0f} MB, and up to {MAX_FILE_BYTES / 1e6:.0f} MB",
        )
    if unpacked > SMALL_BYTES and ratio > MAX_RATIO:
        raise _beyond(
            file, f"would unpack to {ratio:.0f} times its size, and up to {MAX_RATIO:.0f}"
        )
    if any(member.flag_bits & _ENCRYPTED for member in members):
        raise _beyond(file, "is locked with a password, and only open ones")
    if any(member.compress_type not in _STORED_OR_DEFLATED for member in members):
        raise _beyond(file, "is packed in an unusual way, and only deflated ones")


def _inflate(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> ArrivedFile:
    with archive.open(member) as stream:
        content = stream.read(member.file_size)
    return ArrivedFile(name=PurePosixPath(member.filename).name, content=content)


def _check_names(file: ArrivedFile, unpacked: tuple[ArrivedFile, ...]) -> None:
    names = [each.name for each in unpacked]
    if not names:
        raise CorruptFile(f"{file.name} is an empty zip file; pack it again", format_name="zip")
    doubled = sorted({name for name in names if names.count(name) > 1})
    if doubled:
        raise CorruptFile(
            f"{file.name} holds two files named {doubled[0]}, and one recording's files have "
            "different names; pack one recording at a time",
            format_name="zip",
        )


def _beyond(file: ArrivedFile, found: str) -> UnsupportedFeature:
    return UnsupportedFeature(
        f"{file.name} {found} are read from a zip file; pack the files of one recording only",
        format_name="zip",
    )
