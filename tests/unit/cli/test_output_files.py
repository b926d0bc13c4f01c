"""Writing whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from couchside.cli.output_files import PageFolder, check_target, write_whole
from couchside.errors import InvalidInput


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "page.pdf"
    target.write_bytes(b"old")
    write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_it_has_the_rights_that_any_new_file_has(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_whole(tmp_path / "page.pdf", b"new")
    finally:
        os.umask(before)
    assert (tmp_path / "page.pdf").stat().st_mode & 0o777 == 0o640


def test_what_cannot_be_written_leaves_the_old_file_and_no_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "page.pdf"
    target.write_bytes(b"old")

    def refuse(self: Path, other: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InvalidInput, match=r"page\.pdf could not be written \(No space left"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_target_in_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(InvalidInput, match="there is no folder"):
        check_target(tmp_path / "file" / "page.pdf", suffixes=(".pdf",))
    with pytest.raises(InvalidInput, match="several pages go into a folder"):
        PageFolder(tmp_path / "file")


def test_pages_of_one_name_are_numbered(tmp_path: Path) -> None:
    pages = PageFolder(tmp_path / "pages")
    for _ in range(3):
        pages.write(Path("somewhere/r.hea"), b"page")
    assert sorted(path.name for path in (tmp_path / "pages").iterdir()) == [
        "r-2.pdf",
        "r-3.pdf",
        "r.pdf",
    ]
