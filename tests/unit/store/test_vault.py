from __future__ import annotations

import errno
import hashlib
import os
import stat
from pathlib import Path

import pytest

from couchside.errors import InvalidInput, NotFound, StoreError
from couchside.store.vault import Vault

CONTENT = b"samples of an ECG"
DIGEST = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture
def vault(tmp_path: Path) -> Vault:
    return Vault(folder=tmp_path / "vault")


def path_of(vault: Vault, digest: str) -> Path:
    return vault.folder / digest[:2] / digest[2:4] / digest


def test_what_was_put_comes_back_under_its_digest(vault: Vault) -> None:
    assert vault.put(CONTENT) == DIGEST
    assert vault.get(DIGEST) == CONTENT
    assert path_of(vault, DIGEST).read_bytes() == CONTENT


def test_the_same_bytes_twice_are_one_file(vault: Vault) -> None:
    vault.put(CONTENT)
    written = path_of(vault, DIGEST).stat()
    assert vault.put(CONTENT) == DIGEST
    assert path_of(vault, DIGEST).stat().st_ino == written.st_ino
    assert list(vault.list_digests()) == [DIGEST]


def test_no_bytes_at_all_are_kept_too(vault: Vault) -> None:
    digest = vault.put(b"")
    assert vault.get(digest) == b""


def test_a_kept_file_may_only_be_read_and_nothing_is_left_over(vault: Vault) -> None:
    vault.put(CONTENT)
    assert stat.S_IMODE(path_of(vault, DIGEST).stat().st_mode) == 0o440
    assert stat.S_IMODE(vault.folder.stat().st_mode) == 0o700
    assert list((vault.folder / "unfinished").iterdir()) == []


def test_a_file_changed_on_the_disk_is_never_handed_out(vault: Vault) -> None:
    vault.put(CONTENT)
    damage(path_of(vault, DIGEST))
    with pytest.raises(StoreError, match="has changed on the disk"):
        vault.get(DIGEST)
    assert list(vault.list_unsound()) == [DIGEST]


def test_the_same_bytes_again_put_a_damaged_file_right(vault: Vault) -> None:
    vault.put(CONTENT)
    damage(path_of(vault, DIGEST))
    vault.put(CONTENT)
    assert vault.get(DIGEST) == CONTENT
    assert list(vault.list_unsound()) == []


def test_what_was_never_put_is_not_found(vault: Vault) -> None:
    with pytest.raises(NotFound, match=DIGEST):
        vault.get(DIGEST)
    assert not vault.is_sound(DIGEST)


@pytest.mark.parametrize("digest", ["", "../../etc/passwd", DIGEST.upper(), DIGEST + "0"])
def test_only_a_digest_names_a_file(vault: Vault, digest: str) -> None:
    with pytest.raises(InvalidInput, match="is not a SHA-256"):
        vault.get(digest)


def test_half_written_files_are_not_listed(vault: Vault) -> None:
    vault.put(CONTENT)
    (vault.folder / "unfinished" / "tmp123").write_bytes(b"half")
    assert list(vault.list_digests()) == [DIGEST]


def test_what_the_disk_will_not_read_is_said_and_is_not_taken_for_missing(vault: Vault) -> None:
    path_of(vault, DIGEST).mkdir(parents=True)
    for look in (vault.get, vault.is_sound):
        with pytest.raises(StoreError, match="cannot be read"):
            look(DIGEST)


def test_a_full_disk_is_named_and_nothing_half_written_stays(
    vault: Vault, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr("couchside.store.durable.os.fsync", refuse)
        (vault.folder / "unfinished").mkdir(parents=True)
        path_of(vault, DIGEST).parent.mkdir(parents=True)
        with pytest.raises(StoreError, match=f"{DIGEST} could not be written .*No space left"):
            vault.put(CONTENT)
    assert list((vault.folder / "unfinished").iterdir()) == []
    assert vault.put(CONTENT) == DIGEST


def damage(path: Path) -> None:
    path.chmod(0o600)
    path.write_bytes(CONTENT[:-1])
