"""Every file that arrived, byte for byte, under its SHA-256."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from couchside.errors import InvalidInput, NotFound, StoreError
from couchside.store.durable import sync_folder, write_durably

_DIGEST = re.compile(r"[0-9a-f]{64}")
_UNFINISHED = "unfinished"


@dataclass(frozen=True, slots=True, kw_only=True)
class Vault:
    """A content-addressed folder: ``ab/cd/abcd…`` holds the bytes whose SHA-256 is ``abcd…``."""

    folder: Path

    def put(self, content: bytes) -> str:
        """Keep bytes for ever and give their digest; the same bytes twice are one file.

        When it returns, the bytes outlive a loss of power. A file damaged on the disk is put right
        by giving the same bytes again.
        """
        digest = hashlib.sha256(content).hexdigest()
        path = self._path(digest)
        if self.is_sound(digest):
            sync_folder(path.parent)  # whoever put them may have been killed before doing so
        else:
            write_durably(path, content, unfinished=self.folder / _UNFINISHED)
        return digest

    def get(self, digest: str) -> bytes:
        """The bytes of that digest, checked against it.

        Raises NotFound where there are none, StoreError where they have changed on the disk or
        cannot be read from it.
        """
        content = self._read(digest)
        if content is None:
            raise NotFound(f"the vault holds no file {digest}; restore it from the backup")
        if hashlib.sha256(content).hexdigest() != digest:
            raise StoreError(
                f"the file {digest} in the vault has changed on the disk; "
                "restore it from the backup or send the recording again"
            )
        return content

    def is_sound(self, digest: str) -> bool:
        """Whether the bytes of that digest are there and unchanged.

        Raises StoreError where the disk does not let them be read.
        """
        content = self._read(digest)
        return content is not None and hashlib.sha256(content).hexdigest() == digest

    def list_digests(self) -> Iterator[str]:
        """Every digest under which a file lies, in order."""
        for path in sorted(self.folder.glob("??/??/*")):
            if _DIGEST.fullmatch(path.name):
                yield path.name

    def list_unsound(self) -> Iterator[str]:
        """Digests of the files that have changed on the disk; reads the whole vault."""
        return (digest for digest in self.list_digests() if not self.is_sound(digest))

    def _read(self, digest: str) -> bytes | None:
        try:
            return self._path(digest).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise StoreError(
                f"the file {digest} in the vault cannot be read ({error.strerror}); check the disk "
                "and the rights to the data folder"
            ) from error

    def _path(self, digest: str) -> Path:
        if not _DIGEST.fullmatch(digest):
            raise InvalidInput(f"{digest!r} is not a SHA-256 in lower-case hexadecimal")
        return self.folder / digest[:2] / digest[2:4] / digest
