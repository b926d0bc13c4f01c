"""The migrations make the very tables that the models describe, on SQLite and PostgreSQL alike."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import URL, column, insert, inspect, make_url, select
from sqlalchemy import table as name_table
from sqlalchemy.orm import Session
from sqlalchemy.schema import CreateTable

from couchside.recording import Sex
from couchside.store import open_store
from couchside.store.chain import find_break
from couchside.store.engines import (
    make_postgresql_engine,
    make_sqlite_engine,
    parse_database_url,
)
from couchside.store.migrating import get_newest_revision, make_config
from couchside.store.opening import DATABASE_FILE
from couchside.store.queries.trail import read_chain
from couchside.store.sessions import writing
from couchside.store.tables import AuditEntryRow, Base, OrderRow, PatientRow
from couchside.store.words import OrderStatus, Urgency

POSTGRESQL = make_url("postgresql+psycopg2://").get_dialect()()
THEN = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> URL | None:
    """Of an empty database; None stands for SQLite in the data folder."""
    if request.param == "sqlite":
        return None
    server = request.getfixturevalue("postgresql_server")
    return parse_database_url(server.make_empty_database())


def test_after_all_migrations_nothing_differs_from_the_models(
    tmp_path: Path, database_url: URL | None
) -> None:
    store = open_store(tmp_path, database_url)
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


def test_step_by_step_nothing_that_was_written_is_lost(
    tmp_path: Path, database_url: URL | None
) -> None:
    """Each revision by itself, as a department that updates each time comes by them."""
    engine = (
        make_postgresql_engine(database_url)
        if database_url
        else make_sqlite_engine(tmp_path / DATABASE_FILE)
    )
    with writing(engine) as session:
        write_first_version(session)
    for number in range(2, int(get_newest_revision()) + 1):
        with writing(engine) as session:
            upgrade_to(session, f"{number:04d}")
    engine.dispose()
    store = open_store(tmp_path, database_url)
    with store.reading() as session:
        chain = list(read_chain(session))
        (order,) = session.scalars(select(OrderRow)).all()
        assert (order.accession, order.patient.family_name) == ("A-1", "Übermut")
    store.close()
    assert [link.at for link in chain] == [THEN, THEN, THEN], "entries of before are chained"
    assert find_break(chain) is None


def write_first_version(session: Session) -> None:
    """A database as the first version left it: an order, and three entries without a chain."""
    upgrade_to(session, "0001")
    patient = {"id": 1, "identifier": "Ü-1", "family_name": "Übermut", "given_name": "Ö"}
    order = {"id": 1, "patient_id": 1, "accession": "A-1", "place": "", "reason": ""}
    entry = {"at": THEN, "who": "Robin", "what": "ordered", "subject_kind": "order"}
    entry |= {"subject_id": "1", "detail": {"patient": "Ü-1"}}
    _insert(session, PatientRow, patient | {"sex": Sex.NOT_STATED, "created_at": THEN})
    order |= {"day": THEN.date(), "urgency": Urgency.ROUTINE, "status": OrderStatus.OPEN}
    _insert(session, OrderRow, order | {"created_at": THEN})
    for _ in range(3):
        _insert(session, AuditEntryRow, entry)


def upgrade_to(session: Session, revision: str) -> None:
    """Bring the tables to a revision within the session's transaction."""
    config = make_config()
    config.attributes["connection"] = session.connection()
    command.upgrade(config, revision)


def _insert(session: Session, row: type[Base], values: dict[str, object]) -> None:
    """Into the columns that are named alone: the models know of later ones."""
    known = row.__table__.c
    columns = [column(name, known[name].type) for name in values]
    session.execute(insert(name_table(row.__tablename__, *columns)).values(values))
