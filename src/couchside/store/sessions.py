"""Connections and transactions, and what the database's own errors mean."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from sqlite3 import Connection as SqliteConnection

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError
from sqlalchemy.orm import Session

from couchside.errors import Conflict, StoreError
from couchside.store.tables import AuditEntryRow

BUSY_TIMEOUT_MS = 10_000
_BEGIN = "couchside_begin"


def make_sqlite_engine(path: Path) -> Engine:
    """An engine on a SQLite file in WAL mode whose commits outlive a loss of power."""
    engine = create_engine(URL.create("sqlite+pysqlite", database=str(path)))
    event.listen(engine, "connect", _prepare_connection)
    event.listen(engine, "begin", _begin_transaction)
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one state of the database throughout and changes nothing."""
    with _plain_errors(), Session(engine) as session:
        yield session


@contextmanager
def writing(engine: Engine) -> Iterator[Session]:
    """A session whose changes are all made at its end, or none of them.

    Raises Conflict where somebody else changed the same thing first.
    """
    writer = engine.execution_options(**{_BEGIN: "BEGIN IMMEDIATE"})
    with _plain_errors(), Session(writer, expire_on_commit=False) as session, session.begin():
        yield session


def _prepare_connection(connection: SqliteConnection, _record: object) -> None:
    connection.isolation_level = None  # the driver must not begin transactions by itself
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin_transaction(connection: Connection) -> None:
    # A writer takes the lock at once: a reader that turns writer half-way may be refused.
    connection.exec_driver_sql(connection.get_execution_options().get(_BEGIN, "BEGIN"))


@contextmanager
def _plain_errors() -> Iterator[None]:
    try:
        yield
    except IntegrityError as error:
        raise Conflict(
            "somebody else changed the same thing at the same moment; look again and repeat"
        ) from error
    except OperationalError as error:
        raise StoreError(
            f"the database could not be used ({error.orig}); "
            "check that the disk has room and that the data folder may be written"
        ) from error
    except DatabaseError as error:
        if type(error) is not DatabaseError:
            raise  # a fault of ours, such as a wrong statement; it must not pass for a broken file
        raise StoreError(
            f"the database file could not be read ({error.orig}); restore it from the backup"
        ) from error


@event.listens_for(Session, "before_flush")
def _refuse_to_rewrite_the_trail(session: Session, _context: object, _instances: object) -> None:
    changed = [row for row in session.dirty if session.is_modified(row)]
    for row in [*changed, *session.deleted]:
        if isinstance(row, AuditEntryRow):
            raise StoreError("an entry of the audit trail cannot be changed; add another one")
    if session.deleted:
        raise StoreError("nothing that was filed is deleted; mark it instead")
