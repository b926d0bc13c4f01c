from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest
from sqlalchemy import text

from couchside.errors import StoreError
from couchside.store import open_store
from couchside.store.opening import DATABASE_FILE


def test_a_new_folder_is_made_for_this_user_alone(tmp_path: Path) -> None:
    open_store(tmp_path / "a" / "data").close()
    folder = tmp_path / "a" / "data"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / DATABASE_FILE).stat().st_mode) == 0o600


def test_every_connection_is_durable_and_holds_to_its_foreign_keys(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    with store.engine.connect() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "foreign_keys", "synchronous", "busy_timeout")
        }
    store.close()
    # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert found == {
        "journal_mode": "wal",
        "foreign_keys": 1,
        "synchronous": 2,
        "busy_timeout": 10_000,
    }


def test_opening_again_changes_nothing(tmp_path: Path) -> None:
    open_store(tmp_path).close()
    before = (tmp_path / DATABASE_FILE).read_bytes()
    open_store(tmp_path).close()
    assert (tmp_path / DATABASE_FILE).read_bytes() == before


def test_a_database_of_a_newer_version_is_left_alone(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    with store.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    with pytest.raises(StoreError, match=r"newer Couchside \(revision 9999\)"):
        open_store(tmp_path)


def test_a_file_that_is_no_database_is_refused(tmp_path: Path) -> None:
    (tmp_path / DATABASE_FILE).write_bytes(b"no database, but long enough to be looked at" * 99)
    with pytest.raises(StoreError, match="restore it from the backup"):
        open_store(tmp_path)


def test_a_folder_that_may_not_be_written_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object, **_named: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    # the tests may run as root, whom no folder refuses
    monkeypatch.setattr(Path, "touch", refuse)
    with pytest.raises(StoreError, match=r"cannot be the data folder \(Permission denied\)"):
        open_store(tmp_path)


def test_a_file_in_the_way_is_named(tmp_path: Path) -> None:
    (tmp_path / "data").write_bytes(b"")
    with pytest.raises(StoreError, match="cannot be the data folder"):
        open_store(tmp_path / "data" / "deeper")
