"""A backup in one file: a zip archive whose last member is a manifest of SHA-256 digests."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from couchside.errors import CorruptFile, InvalidInput, StoreError
from couchside.store.durable import sync_folder

MANIFEST = "manifest.json"
FORMAT = 1
_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class ArchiveWriter:
    """Takes members in, one after the other."""

    zip_file: zipfile.ZipFile
    digests: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, pieces: Iterable[bytes]) -> str:
        """Write a member from its pieces; gives its digest."""
        digest = hashlib.sha256()
        with self.zip_file.open(name, "w", force_zip64=True) as member:
            for piece in pieces:
                digest.update(piece)
                member.write(piece)
        self.digests[name] = digest.hexdigest()
        return self.digests[name]


@contextmanager
def write_archive(path: Path, facts: Mapping[str, object]) -> Iterator[ArchiveWriter]:
    """A new archive that comes to stand under its name whole and verified, or not at all.

    Raises InvalidInput where the name is taken, StoreError where the disk refuses.
    """
    _check_free(path)
    try:
        descriptor, name = tempfile.mkstemp(prefix=f".{path.name}-unfinished-", dir=path.parent)
    except OSError as error:
        raise InvalidInput(f"{path} cannot be written ({error.strerror}); name another") from error
    unfinished = Path(name)
    try:
        with os.fdopen(descriptor, "w+b") as stream:
            with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as zip_file:
                writer = ArchiveWriter(zip_file=zip_file)
                yield writer
                manifest = {"format": FORMAT, **facts, "files": writer.digests}
                zip_file.writestr(MANIFEST, json.dumps(manifest, indent=1, ensure_ascii=False))
            stream.flush()
            os.fsync(stream.fileno())
        verify_archive(unfinished)
        _put_under_name(unfinished, path)
    except OSError as error:
        raise StoreError(
            f"{path} could not be written ({error.strerror}); check that the disk has room"
        ) from error
    finally:
        unfinished.unlink(missing_ok=True)


def verify_archive(path: Path) -> dict[str, object]:
    """The manifest, once every member is there with its digest and there is no other.

    Raises CorruptFile.
    """
    manifest = read_manifest(path)
    digests = _get_digests(manifest, path)
    with zipfile.ZipFile(path) as zip_file:
        members = set(zip_file.namelist()) - {MANIFEST}
        for name in sorted(members ^ digests.keys()):
            raise CorruptFile(f"{path.name} and its manifest disagree about {name}; take another")
        for name, digest in digests.items():
            if _hash_member(zip_file, name, path) != digest:
                raise CorruptFile(
                    f"{name} in {path.name} is not what its manifest says; take another backup"
                )
    return manifest


def read_manifest(path: Path) -> dict[str, object]:
    """What an archive says of itself; raises InvalidInput and CorruptFile."""
    try:
        with zipfile.ZipFile(path) as zip_file:
            manifest = json.loads(zip_file.read(MANIFEST))
    except OSError as error:
        raise InvalidInput(f"{path} cannot be read ({error.strerror}); name a backup") from error
    except (KeyError, ValueError, zipfile.BadZipFile, zipfile.LargeZipFile) as error:
        raise CorruptFile(f"{path.name} is no whole backup of Couchside; take another") from error
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise CorruptFile(f"{path.name} was made by a newer Couchside; restore it with that")
    return manifest


def read_pieces(zip_file: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """A member's bytes, a piece at a time."""
    with zip_file.open(name) as member:
        while piece := member.read(_CHUNK):
            yield piece


def _hash_member(zip_file: zipfile.ZipFile, name: str, path: Path) -> str:
    digest = hashlib.sha256()
    try:
        for piece in read_pieces(zip_file, name):
            digest.update(piece)
    except (zipfile.BadZipFile, EOFError, ValueError) as error:
        raise CorruptFile(f"{name} in {path.name} is damaged; take another backup") from error
    except Exception as error:
        if type(error).__module__ == "zlib":
            raise CorruptFile(f"{name} in {path.name} is damaged; take another backup") from error
        raise
    return digest.hexdigest()


def _get_digests(manifest: Mapping[str, object], path: Path) -> dict[str, str]:
    files = manifest.get("files")
    if not isinstance(files, dict):
        raise CorruptFile(f"the manifest of {path.name} names no files; take another backup")
    return {str(name): str(digest) for name, digest in files.items()}


def _check_free(path: Path) -> None:
    if path.exists():
        raise InvalidInput(f"{path} is there already and is not overwritten; name another file")
    if not path.parent.is_dir():
        raise InvalidInput(f"there is no folder {path.parent}; make it first, or name another")


def _put_under_name(unfinished: Path, path: Path) -> None:
    try:
        os.link(unfinished, path)  # unlike a rename, refuses a name that was taken meanwhile
    except FileExistsError:
        _check_free(path)
        raise
    except OSError:  # a disk that knows no links, such as a USB stick's
        _check_free(path)
        unfinished.rename(path)
    sync_folder(path.parent)
