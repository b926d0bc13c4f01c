"""Everything into one file, and out of it into either database; nothing is overwritten."""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from couchside.errors import CorruptFile, InvalidInput, StoreError
from couchside.service.accounts import NewAccount, add_account
from couchside.service.backing_up import back_up, restore
from couchside.service.deciding import RecordingDecision, decide
from couchside.service.desk import Desk, open_desk
from couchside.service.receiving import Received
from couchside.service.rounds import list_round
from couchside.service.summaries import OrderSummary
from couchside.service.trail import check_trail
from couchside.store.portable import list_tables
from couchside.store.tables import Base
from couchside.store.words import DecisionKind, Role


@pytest.fixture
def full(desk: Desk, drop: Callable[..., Received], order: OrderSummary) -> Desk:
    """A desk with something in every corner."""
    received = drop(accession_number="A-1")
    drop(name="stray.csv", seed=2, patient_id=None)
    assert received.recording is not None
    decide(
        desk,
        RecordingDecision(
            recording_id=received.recording.id,
            kind=DecisionKind.KEEP_WITH_REMARK,
            seen_number=0,
            remark="tremor – „Ü“",
        ),
    )
    add_account(desk, NewAccount(sign_in_name="ada", name="Ada Quill", role=Role.LEAD))
    (desk.store.vault.folder.parent / "tell-now.toml").write_text("title = 'ours'")
    return desk


def read_all(desk: Desk) -> dict[str, list[tuple[object, ...]]]:
    with desk.store.reading() as session:
        return {
            table.name: [
                tuple(row)
                for row in session.execute(select(table).order_by(*table.primary_key)).all()
            ]
            for table in Base.metadata.sorted_tables
        }


@pytest.fixture
def server(request: pytest.FixtureRequest) -> Any:
    return request.getfixturevalue("postgresql_server")


@pytest.mark.parametrize("source", ["sqlite", "postgresql"])
@pytest.mark.parametrize("target", ["sqlite", "postgresql"])
def test_what_was_backed_up_comes_back_whatever_the_database(
    full: Desk, tmp_path: Path, server: Any, source: str, target: str
) -> None:
    first = tmp_path / "first.zip"
    back_up(full, first)
    database = ""
    if source == "postgresql":
        database = server.make_empty_database()
        restore(first, tmp_path / "between", database)
        between = open_desk(tmp_path / "between", who="Robin", database=database)
        first = tmp_path / "second.zip"
        back_up(between, first)
        between.close()
    database = server.make_empty_database() if target == "postgresql" else ""
    report = restore(first, tmp_path / "back", database)
    back = open_desk(tmp_path / "back", who="Robin", database=database)
    assert read_all(back) == read_all(full)
    assert list(back.store.vault.list_digests()) == list(full.store.vault.list_digests())
    assert list(back.store.vault.list_unsound()) == []
    assert (tmp_path / "back" / "tell-now.toml").read_text() == "title = 'ours'"
    assert check_trail(back).end_sha256 == report.trail_end_sha256
    again = add_account(back, NewAccount(sign_in_name="bea", name="Bea", role=Role.READER))
    assert again.id == 2
    assert list_round(back, full.today()).entries == list_round(full).entries
    back.close()


def test_every_table_is_in_it(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        names = set(archive.namelist())
    assert {f"rows/{name}.jsonl" for name in list_tables()} <= names
    assert set(list_tables()) == set(Base.metadata.tables)


def test_a_file_that_is_there_is_not_overwritten(full: Desk, tmp_path: Path) -> None:
    (tmp_path / "b.zip").write_bytes(b"somebody's")
    with pytest.raises(InvalidInput, match="is not overwritten"):
        back_up(full, tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_bytes() == b"somebody's"


def test_a_folder_that_holds_something_is_not_overwritten(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    with pytest.raises(InvalidInput, match="is not empty"):
        restore(tmp_path / "b.zip", full.store.vault.folder.parent)
    (tmp_path / "empty").mkdir()
    restore(tmp_path / "b.zip", tmp_path / "empty")
    assert (tmp_path / "empty" / "vault").is_dir()


def test_a_database_that_holds_something_is_not_overwritten(
    full: Desk, tmp_path: Path, server: Any
) -> None:
    back_up(full, tmp_path / "b.zip")
    with pytest.raises(StoreError, match="is not empty"):
        restore(tmp_path / "b.zip", tmp_path / "back", server.make_database())
    assert not (tmp_path / "back").exists()


def test_a_changed_member_is_found_before_anything_is_written(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    digest = next(iter(full.store.vault.list_digests()))
    rewrite(tmp_path / "b.zip", tmp_path / "c.zip", {f"vault/{digest}": b"another recording"})
    with pytest.raises(CorruptFile, match=f"vault/{digest} in c.zip is not what its manifest says"):
        restore(tmp_path / "c.zip", tmp_path / "back")
    assert not (tmp_path / "back").exists()


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.999])
def test_a_cut_backup_is_refused(full: Desk, tmp_path: Path, share: float) -> None:
    back_up(full, tmp_path / "b.zip")
    content = (tmp_path / "b.zip").read_bytes()
    (tmp_path / "c.zip").write_bytes(content[: int(len(content) * share)])
    with pytest.raises(CorruptFile, match=r"no whole backup"):
        restore(tmp_path / "c.zip", tmp_path / "back")


def test_a_damaged_byte_is_found(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    content = bytearray((tmp_path / "b.zip").read_bytes())
    content[len(content) // 2] ^= 0xFF
    (tmp_path / "c.zip").write_bytes(content)
    with pytest.raises(CorruptFile):
        restore(tmp_path / "c.zip", tmp_path / "back")


def test_a_forged_trail_is_found_though_every_hash_fits(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        lines = archive.read("rows/audit_entries.jsonl").splitlines()
        manifest = json.loads(archive.read("manifest.json"))
    lines[1] = json.dumps(json.loads(lines[1]) | {"who": "Eve"}).encode()
    forged = b"\n".join(lines) + b"\n"
    manifest["files"]["rows/audit_entries.jsonl"] = hashlib.sha256(forged).hexdigest()
    rewrite(
        tmp_path / "b.zip",
        tmp_path / "c.zip",
        {"rows/audit_entries.jsonl": forged, "manifest.json": json.dumps(manifest).encode()},
    )
    with pytest.raises(StoreError, match="entry 2 of the audit trail was changed"):
        restore(tmp_path / "c.zip", tmp_path / "back")
    assert not (tmp_path / "back").exists()


def test_a_file_that_the_vault_has_lost_is_named_and_the_rest_is_saved(
    full: Desk, tmp_path: Path
) -> None:
    digest = next(iter(full.store.vault.list_digests()))
    path = full.store.vault.folder / digest[:2] / digest[2:4] / digest
    path.chmod(0o600)
    path.write_bytes(b"rotten")
    assert back_up(full, tmp_path / "b.zip").damaged == (digest,)
    assert restore(tmp_path / "b.zip", tmp_path / "back").damaged == (digest,)


def test_a_backup_of_a_newer_version_is_left_to_it(full: Desk, tmp_path: Path) -> None:
    back_up(full, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        manifest = json.loads(archive.read("manifest.json")) | {"revision": "9999"}
    rewrite(
        tmp_path / "b.zip", tmp_path / "c.zip", {"manifest.json": json.dumps(manifest).encode()}
    )
    with pytest.raises(StoreError, match="newer Couchside"):
        restore(tmp_path / "c.zip", tmp_path / "back")
    assert list(tmp_path.glob(".back*")) == []


def rewrite(source: Path, target: Path, changed: dict[str, bytes]) -> None:
    """A copy of an archive with other members in place of some."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            new.writestr(name, changed.get(name, old.read(name)))
    shutil.copymode(source, target)
