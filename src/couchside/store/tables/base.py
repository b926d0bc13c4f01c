"""What all tables share: names of constraints, and times that are always in UTC."""

from __future__ import annotations

import enum
from datetime import UTC, datetime

from sqlalchemy import JSON, DateTime, Dialect, Double, Enum, MetaData
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

from couchside.errors import InvalidInput

_CONSTRAINT_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcDateTime(TypeDecorator[datetime]):
    """A moment: with a zone in Python, in UTC in the database, whatever the database."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Turn to UTC on the way in; a moment without a zone is refused."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise InvalidInput(f"{value} has no zone; give a moment with a zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Say that it is UTC on the way out, where the database forgets."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def _values_of(words: type[enum.Enum]) -> list[str]:
    return [str(word.value) for word in words]


class Base(DeclarativeBase):
    """The root of all tables."""

    metadata = MetaData(naming_convention=_CONSTRAINT_NAMES)
    type_annotation_map = {  # noqa: RUF012 - the form that the library asks for
        datetime: UtcDateTime(),
        dict[str, object]: JSON(),
        list[str]: JSON(),
        float: Double(),
        enum.Enum: Enum(
            enum.Enum,
            native_enum=False,
            create_constraint=False,
            length=40,
            values_callable=_values_of,
        ),
    }
