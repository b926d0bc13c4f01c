from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from couchside.store.begun import BegunArrival, BegunArrivals, BegunFile
from couchside.store.words import Source

ARRIVAL = BegunArrival(
    parcel_sha256="ab" * 32,
    files=(BegunFile(name="r.hea", sha256="cd" * 32), BegunFile(name="r.dat", sha256="ef" * 32)),
    source=Source.WATCHED_FOLDER,
    received_at=datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
    received_by="watched folder",
    hinted_rate_hz=500.0,
    hinted_microvolts_per_unit=None,
)


def test_a_note_is_read_back_as_written(tmp_path: Path) -> None:
    begun = BegunArrivals(folder=tmp_path / "begun")
    begun.note(ARRIVAL)
    assert list(begun.list_noted()) == [ARRIVAL]


def test_a_note_struck_is_gone_and_may_be_struck_again(tmp_path: Path) -> None:
    begun = BegunArrivals(folder=tmp_path / "begun")
    begun.note(ARRIVAL)
    begun.strike(ARRIVAL.parcel_sha256)
    begun.strike(ARRIVAL.parcel_sha256)
    assert list(begun.list_noted()) == []


def test_a_note_half_written_is_none(tmp_path: Path) -> None:
    begun = BegunArrivals(folder=tmp_path / "begun")
    begun.note(ARRIVAL)
    (tmp_path / "begun" / "unfinished" / "tmp1").write_bytes(b'{"parcel')
    assert list(begun.list_noted()) == [ARRIVAL]


@pytest.mark.parametrize("content", [b"{", b"[]", b'{"files": [1]}', b"\xff"])
def test_a_damaged_note_is_named_and_keeps_no_other_waiting(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, content: bytes
) -> None:
    begun = BegunArrivals(folder=tmp_path / "begun")
    begun.note(ARRIVAL)
    (tmp_path / "begun" / "0.json").write_bytes(content)
    assert list(begun.list_noted()) == [ARRIVAL]
    assert "0.json cannot be understood; it stays" in caplog.text
    assert (tmp_path / "begun" / "0.json").read_bytes() == content


def test_a_note_that_another_process_strikes_meanwhile_is_none(tmp_path: Path) -> None:
    begun = BegunArrivals(folder=tmp_path / "begun")
    for first in "ab":
        begun.note(replace(ARRIVAL, parcel_sha256=first * 64))
    noted = begun.list_noted()
    assert next(noted).parcel_sha256 == "a" * 64
    begun.strike("b" * 64)
    assert list(noted) == []
