"""Everything in one file, while Couchside serves; and from that file into a new folder."""

from __future__ import annotations

import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from sqlalchemy import Engine

from couchside.errors import CorruptFile, InvalidInput, StoreError
from couchside.service.desk import Desk
from couchside.service.trail import check_chain
from couchside.store import Store
from couchside.store.archive_file import (
    ArchiveWriter,
    read_pieces,
    verify_archive,
    write_archive,
)
from couchside.store.begun import BegunArrivals
from couchside.store.durable import make_folder, sync_folder, write_durably
from couchside.store.engines import make_postgresql_engine, make_sqlite_engine, parse_database_url
from couchside.store.migrating import get_newest_revision
from couchside.store.opening import BEGUN_FOLDER, DATABASE_FILE, VAULT_FOLDER
from couchside.store.portable import dump_rows, finish_load, list_tables, load_rows, make_tables
from couchside.store.queries.arrivals import list_file_digests
from couchside.store.queries.trail import get_end_of_chain
from couchside.store.sessions import writing
from couchside.store.vault import Vault
from couchside.version import __version__

_ROWS, _VAULT, _BEGUN, _CHOICES = "rows", "vault", "begun", "settings"


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupReport:
    """What a backup holds; `damaged` are digests of files that the vault no longer holds whole."""

    file_count: int
    trail_end_sha256: str
    damaged: tuple[str, ...] = ()


def back_up(desk: Desk, path: Path) -> BackupReport:
    """Write database, vault and settings into one new file, as they are at one moment.

    Raises InvalidInput where the file is there already, StoreError where it cannot be written.
    """
    store = desk.store
    with store.reading() as session:
        notes = _read_notes(store)  # before the database is looked at: a note too many does no harm
        facts: dict[str, object] = {
            "made_at": desk.now().isoformat(),
            "made_by": desk.who,
            "couchside": __version__,
            "revision": get_newest_revision(),
            "trail_end_sha256": get_end_of_chain(session),
        }
        with write_archive(path, facts) as writer:
            for name in list_tables():
                writer.add(f"{_ROWS}/{name}.jsonl", dump_rows(session, name))
            damaged = _add_vault(writer, store.vault, list_file_digests(session))
            for name, content in (*notes, *_read_choices(store)):
                writer.add(name, [content])
    return BackupReport(
        file_count=len(writer.digests),
        trail_end_sha256=str(facts["trail_end_sha256"]),
        damaged=damaged,
    )


def restore(path: Path, folder: Path, database: str = "") -> BackupReport:
    """Put a backup into a folder that is new or empty, and into a database without a table.

    Every digest is checked before anything is written, and the audit trail's chain afterwards.
    Raises InvalidInput, CorruptFile and StoreError.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InvalidInput(f"{folder} is not empty and is not overwritten; name a new folder")
    url = parse_database_url(database) if database else None
    manifest = verify_archive(path)
    make_folder(folder.parent)
    unfinished = Path(tempfile.mkdtemp(prefix=f".{folder.name}-unfinished-", dir=folder.parent))
    try:
        engine = (
            make_sqlite_engine(unfinished / DATABASE_FILE)
            if url is None
            else make_postgresql_engine(url)
        )
        try:
            report = _restore_into(unfinished, engine, path, manifest)
        finally:
            engine.dispose()
        unfinished.replace(folder)
        sync_folder(folder.parent)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return report


def _restore_into(
    folder: Path, engine: Engine, path: Path, manifest: dict[str, object]
) -> BackupReport:
    store = Store(
        engine=engine,
        vault=Vault(folder=folder / VAULT_FOLDER),
        begun=BegunArrivals(folder=folder / BEGUN_FOLDER),
    )
    with zipfile.ZipFile(path) as zip_file:
        names = [name for name in zip_file.namelist() if "/" in name]
        _restore_files(zip_file, names, folder, store.vault)
        with writing(engine) as session:
            connection = session.connection()
            make_tables(connection, str(manifest["revision"]))
            tables = {PurePosixPath(name).stem: name for name in names if name.startswith(_ROWS)}
            for table in (each for each in list_tables() if each in tables):
                with zip_file.open(tables[table]) as lines:
                    load_rows(connection, table, lines)
            finish_load(connection)
            session.flush()
    return _check(store, manifest, len(names))


def _restore_files(zip_file: zipfile.ZipFile, names: list[str], folder: Path, vault: Vault) -> None:
    for name in names:
        kind, last = PurePosixPath(name).parts[0], PurePosixPath(name).name
        if kind == _VAULT:
            if vault.put(b"".join(read_pieces(zip_file, name))) != last:
                raise CorruptFile(f"{name} in the backup is not what its name says; take another")
        elif kind in {_BEGUN, _CHOICES}:
            target = folder / BEGUN_FOLDER / last if kind == _BEGUN else folder / last
            write_durably(
                target, b"".join(read_pieces(zip_file, name)), unfinished=folder / "unfinished"
            )
    if (folder / "unfinished").is_dir():
        (folder / "unfinished").rmdir()


def _check(store: Store, manifest: dict[str, object], count: int) -> BackupReport:
    trail = check_chain(store)
    if trail.broken is not None:
        raise StoreError(
            f"in the backup, entry {trail.broken.number} of the audit trail "
            f"{trail.broken.sentence}; take another backup"
        )
    if trail.end_sha256 != manifest["trail_end_sha256"]:
        raise StoreError(
            "the audit trail in the backup does not end as its manifest says; take another backup"
        )
    with store.reading() as session:
        missing = [each for each in list_file_digests(session) if not store.vault.is_sound(each)]
    return BackupReport(file_count=count, trail_end_sha256=trail.end_sha256, damaged=tuple(missing))


def _add_vault(writer: ArchiveWriter, vault: Vault, named: tuple[str, ...]) -> tuple[str, ...]:
    damaged = []
    for digest in sorted({*vault.list_digests(), *named}):
        if vault.is_sound(digest):
            writer.add(f"{_VAULT}/{digest}", [vault.get(digest)])
        else:
            damaged.append(digest)
    return tuple(damaged)


def _read_notes(store: Store) -> list[tuple[str, bytes]]:
    return list(_read_files(store.begun.folder, "*.json", _BEGUN))


def _read_choices(store: Store) -> list[tuple[str, bytes]]:
    return list(_read_files(store.vault.folder.parent, "*.toml", _CHOICES))


def _read_files(folder: Path, pattern: str, kind: str) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.glob(pattern)):
        try:
            yield f"{kind}/{path.name}", path.read_bytes()
        except FileNotFoundError:
            continue  # filed, and its note struck, since the folder was read
