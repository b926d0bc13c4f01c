from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

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
