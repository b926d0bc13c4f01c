"""The department's readiness checklist: what is looked at on a recorder, and when."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from pathlib import Path

from couchside.errors import InvalidInput
from couchside.measures.owned_tables import Fields, OwnedTable
from couchside.service.owned_files import read_owned_file
from couchside.store.words import PartOfDay

CHECKLIST_FILE = "readiness.toml"
"""Under this name the department's checklist lies in the data folder."""

EXAMPLE_FILE = "readiness_example.toml"


class Beside(StrEnum):
    """What Couchside knows and shows beside an item."""

    PULSE = "pulse"
    CLOCK = "clock"
    ELECTRODES = "electrodes"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistItem:
    """One thing to look at; `name` tells its answers apart for as long as the list lives."""

    name: str
    parts: tuple[PartOfDay, ...]
    words: str
    source: str
    beside: Beside | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """A checklist; `problem` says why the department's own could not be used, if it could not."""

    title: str
    owner: str
    is_example: bool
    items: tuple[ChecklistItem, ...]
    digest: str
    problem: str = ""

    def list_items(self, part: PartOfDay) -> tuple[ChecklistItem, ...]:
        """What is looked at in that part of the day."""
        return tuple(item for item in self.items if part in item.parts)


_FIELDS: Fields = {
    "name": (str,),
    "parts": (list,),
    "words": (str,),
    "beside": (str,),
    "source": (str,),
}
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def parse_checklist(text: str, file_name: str) -> Checklist:
    """Read a checklist.

    Parameters
    ----------
    text : str
        TOML: ``title``, ``owner``, ``is_example`` and any number of ``[[item]]``.
    file_name : str
        For messages.

    Raises
    ------
    InvalidInput
        If it is not TOML, or a field is unknown, missing or of another kind, or two items have one
        name; the sentence names line and field.
    """
    owned = OwnedTable(text=text, file_name=file_name, row_name="item")
    table = owned.parse()
    ownership = owned.get_ownership(table)
    rows = owned.get_rows(table)
    items = tuple(_read_item(owned, number, row) for number, row in enumerate(rows))
    owned.check_names([item.name for item in items], taken="an earlier item’s")
    return Checklist(
        title=ownership.title,
        owner=ownership.owner,
        is_example=ownership.is_example,
        items=items,
        digest=owned.digest,
    )


def load_checklist(path: Path) -> Checklist:
    """Read a checklist file; raises InvalidInput, naming line and field, where it is broken."""
    return parse_checklist(read_owned_file(path, "checklist"), path.name)


def get_example_checklist() -> str:
    """The text of the shipped example, from which a department may start."""
    return (files("couchside.service") / EXAMPLE_FILE).read_text(encoding="utf-8")


def choose_checklist(data_folder: Path) -> Checklist:
    """The department's checklist, if it has one that can be read; else the shipped example.

    A broken checklist keeps nobody from checking a recorder: the sentence that says what is wrong
    with it then stands beside the example.
    """
    example = _get_example()
    path = data_folder / CHECKLIST_FILE
    if not path.is_file():
        return example
    try:
        return load_checklist(path)
    except InvalidInput as error:
        return Checklist(
            title=example.title,
            owner=example.owner,
            is_example=True,
            items=example.items,
            digest=example.digest,
            problem=f"{error}; the shipped example is used instead",
        )


@cache
def _get_example() -> Checklist:
    return parse_checklist(get_example_checklist(), EXAMPLE_FILE)


def _read_item(owned: OwnedTable, number: int, row: object) -> ChecklistItem:
    if not isinstance(row, dict):
        raise owned.complain(number, "item", "is no table; begin each with [[item]]")
    owned.check_fields(row, _FIELDS, row=number)
    for field, what in _WANTED.items():
        if not row.get(field):
            raise owned.complain(number, field, f"is missing; {what}")
    if not _NAME.fullmatch(row["name"]):
        raise owned.complain(
            number, "name", f"is {row['name']!r}; take up to 40 letters a to z, digits or hyphens"
        )
    return ChecklistItem(
        name=row["name"],
        parts=_read_parts(owned, number, row),
        words=row["words"].strip(),
        source=row["source"].strip(),
        beside=_read_beside(owned, number, row),
    )


_WANTED = {
    "name": "give the item a name that stays",
    "parts": "say to which parts of the day it belongs",
    "words": "say what is to be looked at",
    "source": "say where the department has it from",
}


def _read_parts(owned: OwnedTable, number: int, row: Mapping[str, object]) -> tuple[PartOfDay, ...]:
    given, known = row["parts"], [part.value for part in PartOfDay]
    for part in given if isinstance(given, list) else ():
        if part not in known:
            raise owned.complain(number, "parts", f"names {part!r}; choose from {', '.join(known)}")
    return tuple(part for part in PartOfDay if isinstance(given, list) and part.value in given)


def _read_beside(owned: OwnedTable, number: int, row: Mapping[str, object]) -> Beside | None:
    stated, known = row.get("beside"), [each.value for each in Beside]
    if stated is None:
        return None
    if stated not in known:
        raise owned.complain(number, "beside", f"is {stated!r}; choose from {', '.join(known)}")
    return Beside(str(stated))
