"""Every row of the database as plain values, out of one database and into one of either kind."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from itertools import islice
from typing import Any

from alembic import command
from sqlalchemy import Connection, Date, Enum, String, column, insert, inspect, select, table, text
from sqlalchemy.orm import Session
from sqlalchemy.sql.expression import TableClause
from sqlalchemy.types import TypeEngine

from couchside.errors import StoreError
from couchside.store.migrating import is_known_revision, make_config, upgrade
from couchside.store.tables import Base
from couchside.store.tables.base import UtcDateTime

Row = dict[str, object]
_AT_ONCE = 500


def list_tables() -> tuple[str, ...]:
    """Names of the tables, each after those that it refers to."""
    return tuple(each.name for each in Base.metadata.sorted_tables)


def dump_rows(session: Session, name: str) -> Iterator[bytes]:
    """A table's rows in the order of their keys, a line of JSON each."""
    columns = Base.metadata.tables[name].columns
    plain = _make_plain(name, columns.keys())
    keys = [plain.c[key.name] for key in Base.metadata.tables[name].primary_key]
    found = session.execute(select(plain).order_by(*keys).execution_options(yield_per=_AT_ONCE))
    for row in found.mappings():
        said = {key: _to_json(value) for key, value in row.items()}
        yield json.dumps(said, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def make_tables(connection: Connection, revision: str) -> None:
    """Make the tables as of a revision, in a database without any.

    Raises StoreError where there are some, or where the revision is a newer version's.
    """
    if inspect(connection).get_table_names():
        raise StoreError("the database is not empty; restore into a new one")
    if not is_known_revision(revision):
        raise StoreError(
            f"the backup was made by a newer Couchside (revision {revision}); restore it with that"
        )
    config = make_config()
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def load_rows(connection: Connection, name: str, lines: Iterable[bytes]) -> int:
    """Put a table's rows into it; gives how many."""
    count = 0
    rows = (json.loads(line) for line in lines)
    while batch := list(islice(rows, _AT_ONCE)):
        plain = _make_plain(name, batch[0])
        types = {each.name: each.type for each in plain.columns}
        connection.execute(
            insert(plain),
            [{key: _from_json(value, types[key]) for key, value in row.items()} for row in batch],
        )
        count += len(batch)
    return count


def finish_load(connection: Connection) -> None:
    """Bring the tables up to date, and let new rows be numbered after those that were loaded."""
    if connection.dialect.name == "postgresql":
        for name in inspect(connection).get_table_names():
            if _has_serial(name):
                connection.execute(
                    text(
                        f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), "  # noqa: S608 - own names
                        f"(SELECT max(id) FROM {name}))"
                    )
                )
    upgrade(connection)


def _has_serial(name: str) -> bool:
    known = Base.metadata.tables.get(name)
    return known is not None and "id" in known.columns


def _make_plain(name: str, keys: Iterable[str]) -> TableClause:
    return table(name, *(column(key, _choose_type(name, key)) for key in keys))


def _choose_type(name: str, key: str) -> TypeEngine[Any]:
    known = Base.metadata.tables.get(name)
    if known is None or key not in known.columns or isinstance(known.columns[key].type, Enum):
        return String()  # a word; or a column that a later version has dropped
    kind: TypeEngine[Any] = known.columns[key].type
    return kind


def _to_json(value: object) -> object:
    return value.isoformat() if isinstance(value, (datetime, date)) else value


def _from_json(value: object, kind: TypeEngine[Any]) -> object:
    if isinstance(value, str) and isinstance(kind, UtcDateTime):
        return datetime.fromisoformat(value)
    if isinstance(value, str) and isinstance(kind, Date):
        return date.fromisoformat(value)
    return value
