"""Open the database and the vault of one data folder."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine
from sqlalchemy.orm import Session

from couchside.errors import StoreError
from couchside.store.begun import BegunArrivals
from couchside.store.durable import make_folder
from couchside.store.engines import make_postgresql_engine, make_sqlite_engine
from couchside.store.migrating import upgrade
from couchside.store.sessions import reading, writing
from couchside.store.vault import Vault

DATABASE_FILE = "couchside.sqlite3"
VAULT_FOLDER = "vault"
BEGUN_FOLDER = "begun"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Store:
    """Database, vault and notes of arrivals begun, of one data folder; threads may share it."""

    engine: Engine
    vault: Vault
    begun: BegunArrivals

    def reading(self) -> AbstractContextManager[Session]:
        """A transaction that changes nothing."""
        return reading(self.engine)

    def writing(self) -> AbstractContextManager[Session]:
        """A transaction whose changes are all made at its end, or none of them."""
        return writing(self.engine)

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def open_store(data_folder: Path, database: URL | None = None) -> Store:
    """Open the store in a folder, made and brought up to date where needed.

    The database is PostgreSQL where its address is given, else a SQLite file in the folder. Raises
    StoreError where the folder or the database cannot be used or a newer version wrote it.
    """
    _prepare_data_folder(data_folder, has_file=database is None)
    store = Store(
        engine=make_sqlite_engine(data_folder / DATABASE_FILE)
        if database is None
        else make_postgresql_engine(database),
        vault=Vault(folder=data_folder / VAULT_FOLDER),
        begun=BegunArrivals(folder=data_folder / BEGUN_FOLDER),
    )
    try:
        with store.writing() as session:
            upgrade(session.connection())
    except StoreError:
        store.close()
        raise
    return store


def _prepare_data_folder(folder: Path, *, has_file: bool) -> None:
    """Make the folder and the database file, which then has this user's rights alone."""
    try:
        make_folder(folder)
        if has_file:
            (folder / DATABASE_FILE).touch(mode=0o600)
    except OSError as error:
        raise StoreError(
            f"{folder} cannot be the data folder ({error.strerror}); name a folder that may be "
            "written"
        ) from error
