"""The migrations make the very tables that the models describe, on SQLite and PostgreSQL alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, make_url, text
from sqlalchemy.schema import CreateTable

from couchside.store import open_store
from couchside.store.chain import find_break
from couchside.store.engines import make_sqlite_engine, parse_database_url
from couchside.store.migrating import get_newest_revision, make_config
from couchside.store.opening import DATABASE_FILE
from couchside.store.queries.trail import read_chain
from couchside.store.sessions import writing
from couchside.store.tables import Base

POSTGRESQL = make_url("postgresql+psycopg2://").get_dialect()()


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_after_all_migrations_nothing_differs_from_the_models(
    request: pytest.FixtureRequest, tmp_path: Path, database: str
) -> None:
    url = None
    if database == "postgresql":
        server = request.getfixturevalue("postgresql_server")
        url = parse_database_url(server.make_empty_database())
    store = open_store(tmp_path, url)
    with store.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        differences = compare_metadata(context, Base.metadata)
        tables = set(inspect(connection).get_table_names())
        revision = context.get_current_revision()
    store.close()
    assert differences == []
    assert tables == set(Base.metadata.tables) | {"alembic_version"}
    assert revision == get_newest_revision()


def test_every_table_can_be_said_to_postgresql() -> None:
    for table in Base.metadata.sorted_tables:
        statement = str(CreateTable(table).compile(dialect=POSTGRESQL))
        assert statement.strip().startswith(f"CREATE TABLE {table.name} (")
        assert "DATETIME" not in statement


def test_moments_keep_their_zone_in_postgresql() -> None:
    statement = str(CreateTable(Base.metadata.tables["decisions"]).compile(dialect=POSTGRESQL))
    assert "decided_at TIMESTAMP WITH TIME ZONE NOT NULL" in statement


def test_entries_written_before_there_was_a_chain_are_chained(tmp_path: Path) -> None:
    engine = make_sqlite_engine(tmp_path / DATABASE_FILE)
    with writing(engine) as session:
        config = make_config()
        config.attributes["connection"] = session.connection()
        command.upgrade(config, "0001")
        for number in range(3):
            session.execute(
                text(
                    "INSERT INTO audit_entries (at, who, what, subject_kind, subject_id, detail) "
                    "VALUES (:at, 'Robin', 'ordered', 'order', '1', :detail)"
                ),
                {
                    "at": f"2026-03-02 07:30:0{number}.000000",
                    "detail": '{"patient": "Ü-1", "day": "2026-03-02"}',
                },
            )
    engine.dispose()
    store = open_store(tmp_path)
    with store.reading() as session:
        chain = list(read_chain(session))
    store.close()
    assert len(chain) == 3
    assert find_break(chain) is None
