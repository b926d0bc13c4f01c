"""Transactions, and what the database's own errors mean."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine, event
from sqlalchemy.exc import (
    DatabaseError,
    DBAPIError,
    IntegrityError,
    InterfaceError,
    OperationalError,
)
from sqlalchemy.orm import Session

from couchside.errors import Conflict, StoreError
from couchside.store.engines import BEGIN, POSTGRESQL_WRITES, SQLITE_WRITES
from couchside.store.tables import AuditEntryRow

_BROKEN_RULE = "23"
_OUT_OF_REACH = ("08", "28", "3D", "53", "55", "57", "58")
"""Classes of SQLSTATE [PostgreSQL, appendix A]: connection, authorization, no such database,
resources, not in the state, operator, system."""


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one state of the database throughout and changes nothing."""
    with _plain_errors(), Session(engine) as session:
        yield session


@contextmanager
def writing(engine: Engine) -> Iterator[Session]:
    """A session whose changes are all made at its end, or none of them; one at a time.

    Raises Conflict where somebody else changed the same thing first.
    """
    writer = engine.execution_options(**_writes(engine))
    with _plain_errors(), Session(writer, expire_on_commit=False) as session, session.begin():
        yield session


def _writes(engine: Engine) -> dict[str, str]:
    if engine.dialect.name == "sqlite":
        return {BEGIN: SQLITE_WRITES}
    # Each statement sees what was committed before it, and the lock lets nobody commit meanwhile.
    return {BEGIN: POSTGRESQL_WRITES, "isolation_level": "READ COMMITTED"}


@contextmanager
def _plain_errors() -> Iterator[None]:
    try:
        yield
    except DBAPIError as error:
        plain = _find_plain(error)
        if plain is None:
            raise  # a fault of ours, such as a wrong statement; it must not pass for a broken file
        raise plain from error


def _find_plain(error: DBAPIError) -> StoreError | None:
    state = _get_sqlstate(error)
    if isinstance(error, IntegrityError) or state.startswith(_BROKEN_RULE):
        return Conflict(
            "somebody else changed the same thing at the same moment; look again and repeat"
        )
    if isinstance(error, InterfaceError) or state.startswith(_OUT_OF_REACH):
        return StoreError(
            f"the database could not be used ({_get_reason(error)}); check that its server runs "
            "and that the name, password and database in its address are right"
        )
    if isinstance(error, OperationalError):
        return StoreError(
            f"the database could not be used ({error.orig}); "
            "check that the disk has room and that the data folder may be written"
        )
    if type(error) is DatabaseError:
        return StoreError(
            f"the database file could not be read ({error.orig}); restore it from the backup"
        )
    return None


def _get_sqlstate(error: DBAPIError) -> str:
    said = error.orig.args[0] if error.orig is not None and error.orig.args else None
    return str(said.get("C", "")) if isinstance(said, dict) else ""


def _get_reason(error: DBAPIError) -> str:
    said = error.orig.args[0] if error.orig is not None and error.orig.args else error.orig
    return str(said.get("M", "")) if isinstance(said, dict) else str(said)


@event.listens_for(Session, "before_flush")
def _refuse_to_rewrite_the_trail(session: Session, _context: object, _instances: object) -> None:
    changed = [row for row in session.dirty if session.is_modified(row)]
    for row in [*changed, *session.deleted]:
        if isinstance(row, AuditEntryRow):
            raise StoreError("an entry of the audit trail cannot be changed; add another one")
    if session.deleted:
        raise StoreError("nothing that was filed is deleted; mark it instead")
