"""Frozen dataclasses as plain tables and back, by their type hints; what TOML and JSON can hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from types import NoneType, UnionType
from typing import TypeVar, Union, cast, get_args, get_origin, get_type_hints

from couchside.errors import InvalidInput

Made = TypeVar("Made")

_IN_WORDS: dict[type[object], str] = {
    int: "a whole number",
    float: "a number",
    str: "a text",
    bool: "true or false",
    date: "a date",
    datetime: "a date with a time",
}


def to_plain(value: object) -> object:
    """A value as tables, lists, texts, numbers and dates; what equals its default is left out."""
    if isinstance(value, Enum):
        return value.value
    if is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: to_plain(getattr(value, field.name))
            for field in fields(value)
            if not _is_default(field, getattr(value, field.name))
        }
    if isinstance(value, Mapping):
        return {str(to_plain(key)): to_plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    return value


def from_plain(kind: type[Made], table: object, where: str) -> Made:
    """A dataclass from a table.

    Parameters
    ----------
    kind : type
        The dataclass.
    table : object
        What `to_plain` would have made of it.
    where : str
        What the table is called in a message, such as ``"the scenario"``.

    Raises
    ------
    InvalidInput
        If a key is unknown or missing, or a value is of another kind.
    """
    if not isinstance(table, Mapping):
        raise InvalidInput(f"{where} is {table!r}; it must be a table of named values")
    known = {field.name: field for field in fields(cast("type", kind))}
    unknown = sorted(set(table) - set(known))
    if unknown:
        raise InvalidInput(
            f"{where} has {', '.join(unknown)}, which is not known; known are {', '.join(known)}"
        )
    missing = [name for name, field in known.items() if name not in table and _must_be(field)]
    if missing:
        raise InvalidInput(f"{where} lacks {', '.join(missing)}")
    hints = get_type_hints(kind)
    given = {name: _value(hints[name], table[name], f"{name} of {where}") for name in table}
    return kind(**given)


def _value(hint: object, value: object, where: str) -> object:
    origin, parts = get_origin(hint), get_args(hint)
    if origin in {Union, UnionType}:
        inner = next(part for part in parts if part is not NoneType)
        return _value(inner, value, where)
    if origin is tuple:
        return _values(parts, value, where)
    if origin is not None and issubclass(origin, Mapping):
        if not isinstance(value, Mapping):
            raise InvalidInput(f"{where} is {value!r}; it must be a table of named values")
        return {
            _value(parts[0], key, where): _value(parts[1], item, where)
            for key, item in value.items()
        }
    kind = cast("type[object]", hint)
    if is_dataclass(kind):
        return from_plain(kind, value, where)
    return _member(kind, value, where) if issubclass(kind, Enum) else _single(kind, value, where)


def _values(parts: tuple[object, ...], value: object, where: str) -> tuple[object, ...]:
    if not isinstance(value, list | tuple):
        raise InvalidInput(f"{where} is {value!r}; it must be a list")
    if parts[-1] is Ellipsis:
        return tuple(_value(parts[0], item, where) for item in value)
    if len(value) != len(parts):
        raise InvalidInput(f"{where} holds {len(value)} values; it must hold {len(parts)}")
    return tuple(_value(part, item, where) for part, item in zip(parts, value, strict=True))


def _member(kind: type[Enum], value: object, where: str) -> Enum:
    for member in kind:
        if member.value == value:
            return member
    listed = ", ".join(str(member.value) for member in kind)
    raise InvalidInput(f"{where} is {value!r}; it must be one of {listed}")


def _single(kind: type[object], value: object, where: str) -> object:
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    plain_date = kind is date and isinstance(value, datetime)
    wrong_bool = kind is not bool and isinstance(value, bool)
    if not isinstance(value, kind) or plain_date or wrong_bool:
        raise InvalidInput(f"{where} is {value!r}; it must be {_IN_WORDS[kind]}")
    return value


def _must_be(field: Field[object]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _is_default(field: Field[object], value: object) -> bool:
    if field.default_factory is not MISSING:
        return bool(value == field.default_factory())
    return field.default is not MISSING and bool(value == field.default)
