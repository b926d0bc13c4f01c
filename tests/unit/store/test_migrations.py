"""The migrations make the very tables that the models describe, on SQLite and PostgreSQL alike."""

from __future__ import annotations

from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, make_url
from sqlalchemy.schema import CreateTable

from couchside.store import open_store
from couchside.store.migrating import get_newest_revision
from couchside.store.tables import Base

POSTGRESQL = make_url("postgresql+psycopg2://").get_dialect()()


def test_after_all_migrations_nothing_differs_from_the_models(tmp_path: Path) -> None:
    store = open_store(tmp_path)
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
