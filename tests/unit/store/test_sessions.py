from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.exc import StatementError

from couchside.errors import Conflict, StoreError
from couchside.store import Store, open_store
from couchside.store.engines import parse_database_url
from couchside.store.queries.trail import list_audit_entries
from couchside.store.tables import AuditEntryRow, SettingRow

MOMENT = datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=2)))


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Both databases keep the same promises."""
    url = None
    if request.param == "postgresql":
        server = request.getfixturevalue("postgresql_server")
        url = parse_database_url(server.make_database())
    opened = open_store(tmp_path, url)
    yield opened
    opened.close()


def entry(at: datetime = MOMENT) -> AuditEntryRow:
    return AuditEntryRow(
        at=at,
        who="Test",
        what="tried",
        subject_kind="order",
        subject_id="1",
        detail={"a": 1},
        account="",
        address="",
        previous_sha256="0" * 64,
        sha256="1" * 64,
    )


def setting(name: str, value: str = "x") -> SettingRow:
    return SettingRow(name=name, value=value, changed_at=MOMENT, changed_by="Test")


def add_and_fail(store: Store) -> None:
    with store.writing() as session:
        session.add(setting("a"))
        session.flush()
        raise ZeroDivisionError


def test_a_moment_comes_back_in_utc(store: Store) -> None:
    with store.writing() as session:
        session.add(entry())
    with store.reading() as session:
        found = list_audit_entries(session)[0].at
    assert found == MOMENT
    assert found.tzinfo is UTC


def test_a_moment_without_a_zone_is_refused(store: Store) -> None:
    with pytest.raises(StatementError, match="has no zone"), store.writing() as session:
        session.add(entry(at=datetime(2026, 3, 2)))  # noqa: DTZ001 - the point of the test


def test_an_error_within_leaves_nothing_behind(store: Store) -> None:
    with pytest.raises(ZeroDivisionError):
        add_and_fail(store)
    with store.reading() as session:
        assert session.scalars(select(SettingRow)).all() == []


def test_reading_changes_nothing(store: Store) -> None:
    with store.reading() as session:
        session.add(setting("a"))
        session.flush()
    with store.reading() as session:
        assert session.scalars(select(SettingRow)).all() == []


def test_the_same_key_twice_is_a_conflict(store: Store) -> None:
    with store.writing() as session:
        session.add(setting("a"))
    with pytest.raises(Conflict, match="look again"), store.writing() as session:
        session.add(setting("a"))


def test_an_audit_entry_cannot_be_changed(store: Store) -> None:
    with store.writing() as session:
        session.add(entry())
    with pytest.raises(StoreError, match="cannot be changed"), store.writing() as session:
        list_audit_entries(session)[0].who = "Somebody else"
    with store.reading() as session:
        assert list_audit_entries(session)[0].who == "Test"


@pytest.mark.parametrize("make", [entry, lambda: setting("a")])
def test_nothing_is_deleted(store: Store, make: type[AuditEntryRow]) -> None:
    row = make()
    with store.writing() as session:
        session.add(row)
    with pytest.raises(StoreError), store.writing() as session:
        session.delete(session.merge(row))


def test_writers_wait_for_one_another(store: Store) -> None:
    def count_up() -> None:
        for _ in range(20):
            with store.writing() as session:
                row = session.get_one(SettingRow, "count")
                row.value = str(int(row.value) + 1)

    with store.writing() as session:
        session.add(setting("count", "0"))
    threads = [threading.Thread(target=count_up) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as session:
        assert session.get_one(SettingRow, "count").value == "80"


def test_a_reader_sees_one_state_throughout(store: Store) -> None:
    with store.writing() as session:
        session.add(setting("a", "before"))
    with store.reading() as reader:
        reader.get_one(SettingRow, "a")
        with store.writing() as writer:
            writer.get_one(SettingRow, "a").value = "after"
        reader.expire_all()
        assert reader.get_one(SettingRow, "a").value == "before"


def test_a_writer_sees_what_the_one_before_it_wrote(store: Store) -> None:
    has_begun, may_end = threading.Event(), threading.Event()

    def write_slowly() -> None:
        with store.writing() as session:
            session.add(setting("a", "first"))
            session.flush()
            has_begun.set()
            may_end.wait(timeout=10)

    thread = threading.Thread(target=write_slowly)
    thread.start()
    has_begun.wait(timeout=10)
    threading.Timer(0.3, may_end.set).start()
    with store.writing() as session:
        assert session.get_one(SettingRow, "a").value == "first"
    thread.join()
