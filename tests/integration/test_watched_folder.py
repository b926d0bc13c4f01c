"""A real folder, a real thread and real files, dropped in the ways that programs drop them."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.exchange import Afterwards, FolderWatch, Pace, watched_folder
from couchside.service import Desk, list_round, open_desk

PACE = Pace(settle_s=0.3, companions_s=2.0, unreadable_s=1.0)
PATIENCE_S = 20.0


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = open_desk(tmp_path / "data", who="Robin")
    yield opened
    opened.close()


def wait_for(is_so: Callable[[], bool]) -> bool:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if is_so():
            return True
        time.sleep(0.05)
    return False


def test_what_lies_there_and_what_comes_later_are_both_taken(
    desk: Desk, tmp_path: Path, make_csv: Callable[..., bytes]
) -> None:
    folder = tmp_path / "new" / "inbox"
    folder.mkdir(parents=True)
    (folder / "before.csv").write_bytes(make_csv(seed=1))
    with FolderWatch(desk, folder, afterwards=Afterwards.PUT_AWAY, pace=PACE):
        assert wait_for((folder / "taken" / "before.csv").exists)
        (folder / "renamed.csv.part").write_bytes(make_csv(seed=2))
        (folder / "renamed.csv.part").rename(folder / "renamed.csv")
        assert wait_for((folder / "taken" / "renamed.csv").exists)
        content = make_csv(seed=3)
        with (folder / "slow.csv").open("wb") as stream:
            for start in range(0, len(content), len(content) // 8):
                stream.write(content[start : start + len(content) // 8])
                stream.flush()
                time.sleep(0.1)
        assert wait_for((folder / "taken" / "slow.csv").exists)
    listed = list_round(desk)
    assert sorted(each.files[0].name for each in listed.unmatched) == [
        "before.csv",
        "renamed.csv",
        "slow.csv",
    ]
    assert {each.received_by for each in listed.unmatched} == {"watched folder"}
    assert listed.problems == ()


def test_a_folder_that_goes_and_comes_back_is_watched_again(
    desk: Desk,
    tmp_path: Path,
    make_csv: Callable[..., bytes],
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    monkeypatch.setattr(watched_folder, "_PAUSE_S", 0.2)
    folder = tmp_path / "share"
    with FolderWatch(desk, folder, pace=PACE):
        folder.rmdir()
        assert wait_for(lambda: "share cannot be watched" in caplog.text)
        folder.mkdir()
        (folder / "back.csv").write_bytes(make_csv())
        assert wait_for(lambda: bool(list_round(desk).unmatched))
    assert "Traceback" not in caplog.text


def test_after_stop_nothing_more_is_taken(
    desk: Desk, tmp_path: Path, make_csv: Callable[..., bytes]
) -> None:
    watch = FolderWatch(desk, tmp_path / "inbox", pace=PACE)
    watch.start()
    began = time.monotonic()
    watch.stop()
    assert time.monotonic() - began < PATIENCE_S
    (tmp_path / "inbox" / "late.csv").write_bytes(make_csv())
    time.sleep(1.0)
    assert list_round(desk).unmatched == ()


def test_a_file_cannot_be_watched(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "inbox").write_bytes(b"")
    with pytest.raises(InvalidInput, match="cannot be watched"):
        FolderWatch(desk, tmp_path / "inbox")
