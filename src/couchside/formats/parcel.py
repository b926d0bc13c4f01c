"""The files of one recording, as they arrived together."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from couchside.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivedFile:
    """One file as it arrived: its name without folders, and its bytes.

    Parameters
    ----------
    name : str
        A character that the disk's encoding could not explain becomes ``?``: no database and no
        JSON takes it.
    content : bytes
        The whole file.
    """

    name: str
    content: bytes

    def __post_init__(self) -> None:
        writable = self.name.encode("utf-8", errors="replace").decode("utf-8")
        object.__setattr__(self, "name", writable)

    @property
    def sha256(self) -> str:
        """Digest of the bytes, in lower-case hexadecimal."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """What arrived as one recording: the file to read first, then the files it refers to.

    Parameters
    ----------
    files : tuple of ArrivedFile
        At least one, each under a different name.
    """

    files: tuple[ArrivedFile, ...]

    def __post_init__(self) -> None:
        if not self.files:
            raise InvalidInput("nothing arrived; give at least one file")
        names = [file.name for file in self.files]
        if len(set(names)) != len(names):
            raise InvalidInput("two files arrived under one name; rename one of them")

    @property
    def main(self) -> ArrivedFile:
        """The file to read first."""
        return self.files[0]

    @property
    def byte_count(self) -> int:
        """Bytes in all the files together."""
        return sum(len(file.content) for file in self.files)

    @property
    def sha256(self) -> str:
        """What identifies the parcel: the digest of its one file, or of the list of its files.

        The list has one line a file, ``<sha256>  <name>``, sorted by name.
        """
        if len(self.files) == 1:
            return self.main.sha256
        ordered = sorted(self.files, key=lambda file: file.name)
        listing = "".join(f"{file.sha256}  {file.name}\n" for file in ordered)
        return hashlib.sha256(listing.encode()).hexdigest()

    def find_file(self, name: str) -> ArrivedFile | None:
        """The file of that name, if it came along."""
        return next((file for file in self.files if file.name == name), None)
