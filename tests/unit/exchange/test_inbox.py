from __future__ import annotations

import logging
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from couchside.errors import StoreError
from couchside.exchange import inbox as inbox_module
from couchside.exchange.inbox import RETRY_S, Afterwards, Inbox, Taken
from couchside.exchange.inbox_scan import Pace
from couchside.formats import write_dicom, write_wfdb
from couchside.recording import Patient, Recording
from couchside.service import Desk, Outcome, Source, list_round
from couchside.simulate import get_scenario, simulate

PACE = Pace(settle_s=2.0, companions_s=60.0, unreadable_s=10.0)


def make_inbox(desk: Desk, folder: Path, *, put_away: bool = True) -> Inbox:
    afterwards = Afterwards.PUT_AWAY if put_away else Afterwards.LEAVE
    return Inbox(desk, folder, afterwards=afterwards, pace=PACE)


def look_at(inbox: Inbox, *moments_s: float) -> list[Taken]:
    return [taken for now_s in moments_s for taken in inbox.take_ready(now_s=now_s)]


def names_in(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_a_recording_is_received_and_put_away(desk: Desk, folder: Path, ecg: bytes) -> None:
    (folder / "a.csv").write_bytes(ecg)
    inbox = make_inbox(desk, folder)
    assert look_at(inbox, 0.0, 1.0) == []
    (taken,) = look_at(inbox, 2.5)
    assert taken.names == ("a.csv",)
    assert taken.received.recording is not None
    assert taken.received.recording.source is Source.WATCHED_FOLDER
    assert names_in(folder) == ["taken/a.csv"]
    assert (folder / "taken" / "a.csv").read_bytes() == ecg
    assert look_at(inbox, 5.0, 10.0) == []


def test_dicom_is_taken_as_soon_as_it_is_whole_and_not_before(desk: Desk, folder: Path) -> None:
    recording = replace(simulate(get_scenario("good")).recording, patient=Patient())
    content = write_dicom(recording)
    inbox = make_inbox(desk, folder)
    for share, begun_s in ((0.3, 0.0), (0.7, 1.0), (0.999, 2.0)):
        (folder / "a.dcm").write_bytes(content[: int(share * len(content))])
        assert look_at(inbox, begun_s, begun_s + 0.4, begun_s + 0.9) == []
    (folder / "a.dcm").write_bytes(content)
    assert look_at(inbox, 3.0, 3.2) == []
    (taken,) = look_at(inbox, 3.4)
    assert taken.received.recording is not None


def test_unless_asked_nothing_in_the_folder_is_touched(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    (folder / "a.csv").write_bytes(ecg)
    (folder / "letter.txt").write_bytes(b"Dear doctor")
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    inbox = make_inbox(desk, folder, put_away=False)
    assert len(look_at(inbox, 0.0, 3.0, 6.0, 70.0, 140.0)) == 2
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before


def test_after_a_restart_what_was_left_in_place_is_not_received_again(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    (folder / "a.csv").write_bytes(ecg)
    assert len(look_at(make_inbox(desk, folder, put_away=False), 0.0, 3.0)) == 1
    assert look_at(make_inbox(desk, folder, put_away=False), 0.0, 3.0, 6.0) == []


def test_a_crash_between_filing_and_putting_away_doubles_nothing(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    (folder / "a.csv").write_bytes(ecg)
    look_at(make_inbox(desk, folder), 0.0, 3.0)
    (folder / "taken" / "a.csv").rename(folder / "a.csv")
    (taken,) = look_at(make_inbox(desk, folder), 0.0, 3.0)
    assert taken.received.outcome is Outcome.ALREADY_HERE
    assert names_in(folder) == ["taken/a.csv"]
    assert len(list_round(desk).unmatched) == 1


def test_what_cannot_be_read_is_put_aside_with_the_reason(desk: Desk, folder: Path) -> None:
    (folder / "letter.txt").write_bytes(b"Dear doctor")
    (taken,) = look_at(make_inbox(desk, folder), 0.0, 61.0)
    assert taken.received.outcome is Outcome.NOT_READABLE
    assert names_in(folder) == ["not-taken/letter.txt", "not-taken/letter.txt.why.txt"]
    why = (folder / "not-taken" / "letter.txt.why.txt").read_text(encoding="utf-8")
    assert why == f"{taken.received.sentence}\n"


def test_a_file_cut_short_may_still_be_written_to(desk: Desk, folder: Path, ecg: bytes) -> None:
    (folder / "a.csv").write_bytes(ecg[:1000])
    inbox = make_inbox(desk, folder)
    assert look_at(inbox, 0.0, 3.0) == []
    (folder / "a.csv").write_bytes(ecg)
    (taken,) = look_at(inbox, 4.0, 7.0)
    assert taken.received.outcome is Outcome.UNMATCHED
    assert list_round(desk).problems == ()


def test_a_file_that_stays_cut_short_is_given_up(desk: Desk, folder: Path, ecg: bytes) -> None:
    (folder / "a.csv").write_bytes(ecg[:40])
    inbox = make_inbox(desk, folder)
    assert look_at(inbox, 0.0, 9.0) == []
    (taken,) = look_at(inbox, 61.0)
    assert taken.received.outcome is Outcome.NOT_READABLE


def test_header_and_signals_are_one_recording(desk: Desk, folder: Path) -> None:
    write_record(folder, ".hea", ".dat")
    inbox = make_inbox(desk, folder)
    (taken,) = look_at(inbox, 0.0, 3.0)
    assert taken.names[0] == "r1.hea"
    assert taken.received.recording is not None
    assert taken.received.recording.format_name == "wfdb"
    assert names_in(folder) == sorted(f"taken/{name}" for name in taken.names)


def write_record(folder: Path, *extensions: str) -> None:
    samples = np.sin(np.arange(5000) / 40.0) * 500.0
    recording = Recording(leads=("I", "II"), microvolts=np.stack([samples, samples]), rate_hz=500.0)
    for file in write_wfdb(recording, "r1").files:
        if file.name.endswith(extensions):
            (folder / file.name).write_bytes(file.content)


@pytest.mark.parametrize(("first", "second"), [(".hea", ".dat"), (".dat", ".hea")])
def test_the_other_half_of_a_record_may_come_after_the_first_was_given_up(
    desk: Desk, folder: Path, first: str, second: str
) -> None:
    inbox = make_inbox(desk, folder, put_away=False)
    write_record(folder, first)
    (alone,) = look_at(inbox, 0.0, 3.0, 61.0, 62.0)
    assert alone.received.outcome is Outcome.NOT_READABLE
    write_record(folder, second)
    (both,) = look_at(inbox, 70.0, 73.0, 140.0)
    assert both.names == ("r1.hea", "r1.dat")
    assert both.received.outcome is Outcome.UNMATCHED


def test_a_name_that_is_not_utf_8_is_filed_with_a_question_mark(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    (folder / os.fsdecode(b"caf\xe9.csv")).write_bytes(ecg)
    (taken,) = look_at(make_inbox(desk, folder), 0.0, 3.0)
    assert taken.received.recording is not None
    assert taken.received.recording.files[0].name == "caf?.csv"


def test_a_start_at_an_end_of_the_calendar_keeps_no_recording_out(
    desk: Desk, folder: Path, make_csv: Callable[..., bytes]
) -> None:
    for seed, start in enumerate(("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00")):
        (folder / f"{seed}.csv").write_bytes(make_csv(seed=seed, start=start))
    taken = look_at(make_inbox(desk, folder), 0.0, 3.0)
    assert [each.received.recording.start for each in taken if each.received.recording] == [
        None,
        None,
    ]


@pytest.mark.parametrize("name", [".hidden.csv", "a.csv.part", "a.CSV.TMP", "a.csv~"])
def test_files_under_names_of_files_being_written_are_left_alone(
    desk: Desk, folder: Path, ecg: bytes, name: str
) -> None:
    (folder / name).write_bytes(ecg)
    assert look_at(make_inbox(desk, folder), 0.0, 100.0) == []
    assert names_in(folder) == [name]


def test_links_and_folders_are_left_alone(
    desk: Desk, folder: Path, tmp_path: Path, ecg: bytes
) -> None:
    (tmp_path / "elsewhere.csv").write_bytes(ecg)
    (folder / "link.csv").symlink_to(tmp_path / "elsewhere.csv")
    (folder / "deeper").mkdir()
    (folder / "deeper" / "a.csv").write_bytes(ecg)
    assert look_at(make_inbox(desk, folder), 0.0, 100.0) == []


def test_a_name_that_was_put_away_before_is_not_overwritten(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    inbox = make_inbox(desk, folder)
    for number in range(3):
        (folder / "a.csv").write_bytes(ecg + b"\n" * number)
        assert len(look_at(inbox, 10.0 * number, 10.0 * number + 3.0)) == 1
    assert names_in(folder) == ["taken/a (2).csv", "taken/a (3).csv", "taken/a.csv"]


def test_a_file_too_large_to_be_an_ecg_is_put_aside_unread(
    desk: Desk, folder: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("couchside.formats.limits.MAX_FILE_BYTES", 100)
    (folder / "big.csv").write_bytes(b"x" * 101)
    with caplog.at_level(logging.WARNING):
        assert look_at(make_inbox(desk, folder), 0.0, 3.0, 61.0) == []
    assert names_in(folder) == ["not-taken/big.csv", "not-taken/big.csv.why.txt"]
    assert "not taken from the watched folder: big.csv" in caplog.text


def test_when_the_store_fails_the_file_stays_and_is_tried_again(
    desk: Desk,
    folder: Path,
    ecg: bytes,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    (folder / "a.csv").write_bytes(ecg)
    inbox = make_inbox(desk, folder)

    def fail(*_arguments: object, **_named: object) -> None:
        raise StoreError("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr(inbox_module, "receive", fail)
        assert look_at(inbox, 0.0, 3.0, 10.0) == []
        (told,) = (record for record in caplog.records if "a.csv could not be" in record.message)
        assert told.message.endswith("it is tried again: the disk is full")
        assert told.exc_info is None
    assert names_in(folder) == ["a.csv"]
    later_s = 3.0 + RETRY_S
    assert look_at(inbox, later_s - 1.0) == []
    assert len(look_at(inbox, later_s + 1.0, later_s + 4.0)) == 1


def test_a_file_taken_away_by_somebody_else_is_no_trouble(
    desk: Desk, folder: Path, ecg: bytes
) -> None:
    (folder / "a.csv").write_bytes(ecg)
    inbox = make_inbox(desk, folder)
    look_at(inbox, 0.0)
    (folder / "a.csv").unlink()
    assert look_at(inbox, 3.0, 6.0) == []
