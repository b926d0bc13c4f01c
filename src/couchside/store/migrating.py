"""Bring a database to the tables that this version of Couchside knows."""

from __future__ import annotations

from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from couchside.errors import StoreError

_SCRIPTS = "couchside.store:migrations"


def upgrade(connection: Connection) -> None:
    """Apply what is missing, within the transaction that the connection is in.

    Raises StoreError where the database was made by a newer version.
    """
    found = _get_revision(connection)
    if found == get_newest_revision():
        return
    if found is not None and found not in _known_revisions():
        raise StoreError(
            f"the database has the tables of a newer Couchside (revision {found}); "
            "start that version, or restore the backup made before it was installed"
        )
    config = make_config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


@cache
def get_newest_revision() -> str:
    """The revision that this version brings a database to."""
    return str(_scripts().get_current_head())


def _get_revision(connection: Connection) -> str | None:
    return MigrationContext.configure(connection).get_current_revision()


def is_known_revision(revision: str) -> bool:
    """Whether this version knows the tables of a revision."""
    return revision in _known_revisions()


@cache
def _known_revisions() -> frozenset[str]:
    return frozenset(script.revision for script in _scripts().walk_revisions())


def _scripts() -> ScriptDirectory:
    return ScriptDirectory.from_config(make_config())


def make_config() -> Config:
    """What Alembic wants to know; the caller adds the connection."""
    config = Config()
    config.set_main_option("script_location", _SCRIPTS)
    config.set_main_option("path_separator", "os")
    return config
