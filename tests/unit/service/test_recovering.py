"""What the killed processes of the integration tests do not reach; see test_crash_safety there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside.formats import Parcel
from couchside.service.desk import Desk
from couchside.service.receiving import Received, receive
from couchside.service.recovering import recover
from couchside.service.rounds import list_round
from couchside.store.words import Source

MakeParcel = Callable[..., Parcel]
Deeds = Callable[[], list[tuple[str, str, str]]]


class Accident(Exception):
    """A fault of Couchside's own."""


def break_off(desk: Desk, parcel: Parcel, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave an arrival with its bytes safe and nothing filed."""

    def fail(*_arguments: object) -> None:
        raise Accident

    with monkeypatch.context() as patch:
        patch.setattr("couchside.service.receiving.derive", fail)
        with pytest.raises(Accident):
            receive(desk, parcel, source=Source.WATCHED_FOLDER)


def test_after_a_clean_end_there_is_nothing_to_recover(
    desk: Desk, drop: Callable[..., Received]
) -> None:
    drop()
    assert recover(desk) == ()


def test_what_was_broken_off_is_filed_as_it_arrived(
    desk: Desk, make_parcel: MakeParcel, monkeypatch: pytest.MonkeyPatch
) -> None:
    break_off(desk.with_person("watched folder"), make_parcel(), monkeypatch)
    (received,) = recover(desk)
    assert received.recording is not None
    assert received.recording.received_by == "watched folder"
    assert received.recording.source is Source.WATCHED_FOLDER
    assert list_round(desk).unmatched == (received.recording,)


def test_one_parcel_that_fails_again_keeps_its_note_and_does_not_stop_the_others(
    desk: Desk,
    make_parcel: MakeParcel,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    parcels = [make_parcel(seed=seed, name=f"{seed}.csv") for seed in (1, 2, 3)]
    for parcel in parcels:
        break_off(desk, parcel, monkeypatch)
    from_vault = {parcel.sha256: parcel for parcel in parcels}
    bad = sorted(from_vault)[1]

    def fail_on_one(vault: object, arrival: object) -> Parcel:
        sha256 = getattr(arrival, "parcel_sha256", "")
        if sha256 == bad:
            raise Accident
        return from_vault[sha256]

    with monkeypatch.context() as patch:
        patch.setattr("couchside.service.recovering.fetch_parcel", fail_on_one)
        assert len(recover(desk)) == 2
    assert f"{from_vault[bad].main.name} could not be filed; its note stays" in caplog.text
    assert [each.parcel_sha256 for each in desk.store.begun.list_noted()] == [bad]
    assert len(recover(desk)) == 1


def test_a_parcel_that_the_disk_will_not_read_keeps_its_note(
    desk: Desk,
    make_parcel: MakeParcel,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    parcel = make_parcel()
    break_off(desk, parcel, monkeypatch)
    path = next(desk.store.vault.folder.glob(f"??/??/{parcel.sha256}"))
    path.unlink()
    path.mkdir()
    assert recover(desk) == ()
    assert "its note stays" in caplog.text
    assert len(list(desk.store.begun.list_noted())) == 1


def test_an_arrival_cut_off_is_written_into_the_trail(
    desk: Desk, make_parcel: MakeParcel, monkeypatch: pytest.MonkeyPatch, deeds: Deeds
) -> None:
    parcel = make_parcel()
    break_off(desk, parcel, monkeypatch)
    next(desk.store.vault.folder.glob(f"??/??/{parcel.sha256}")).unlink()
    assert recover(desk) == ()
    assert deeds() == [("Robin", "found cut off by a crash", "parcel")]
    assert list(desk.store.begun.list_noted()) == []
