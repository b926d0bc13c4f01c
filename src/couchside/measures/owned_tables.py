"""Tables in TOML that a department owns: read field by field, each mistake named with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from math import isfinite

from couchside.errors import InvalidInput

Fields = Mapping[str, tuple[type, ...]]
"""What a field may hold, by its name."""

_KINDS = {
    str: "a text",
    bool: "true or false",
    int: "a number",
    float: "a number",
    list: "a list",
    dict: "a table such as { name = 1 }",
}


_DIGEST_LENGTH = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Ownership:
    """What a table says of itself: its title, who answers for it, whether it is an example."""

    title: str
    owner: str
    is_example: bool


_TOP_FIELDS: Fields = {"title": (str,), "owner": (str,), "is_example": (bool,)}


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedTable:
    """A text being read, so that a complaint can name the line.

    Parameters
    ----------
    text : str
        TOML.
    file_name : str
        For messages.
    row_name : str
        The name under which its rows stand, as ``"rule"`` in ``[[rule]]``.
    """

    text: str
    file_name: str
    row_name: str

    @property
    def digest(self) -> str:
        """Tells this text from any other."""
        return sha256(self.text.encode()).hexdigest()[:_DIGEST_LENGTH]

    def parse(self) -> dict[str, object]:
        """The whole table; raises InvalidInput where it is not TOML."""
        try:
            return tomllib.loads(self.text)
        except tomllib.TOMLDecodeError as error:
            raise InvalidInput(
                f"{self.file_name} is not valid TOML: {error}; correct that place"
            ) from error

    def get_ownership(self, table: Mapping[str, object]) -> Ownership:
        """Title, owner and whether it is an example; raises InvalidInput for any other field."""
        top = {name: value for name, value in table.items() if name != self.row_name}
        self.check_fields(top, _TOP_FIELDS, row=None)
        title = str(table.get("title", "")).strip()
        if not title:
            raise self.complain(None, "title", "is missing; say what the department calls the list")
        return Ownership(
            title=title,
            owner=str(table.get("owner", "")),
            is_example=table.get("is_example", False) is True,
        )

    def get_rows(self, table: Mapping[str, object]) -> list[object]:
        """The rows; raises InvalidInput where there are none."""
        rows = table.get(self.row_name)
        if not isinstance(rows, list) or not rows:
            raise self.complain(
                None, self.row_name, f"is missing; give at least one [[{self.row_name}]]"
            )
        return rows

    def check_fields(self, table: Mapping[str, object], known: Fields, row: int | None) -> None:
        """Raise InvalidInput for a field that is unknown, of another kind, or not finite."""
        for name, value in table.items():
            if name not in known:
                raise self.complain(row, name, f"is not known here; known are {', '.join(known)}")
            if type(value) not in known[name]:
                kind = _KINDS[known[name][-1]]
                raise self.complain(row, name, f"is {value!r}, and {kind} is expected; correct it")
            if isinstance(value, float) and not isfinite(value):
                raise self.complain(row, name, f"is {value}, and a finite number is expected")

    def check_names(self, names: Sequence[str], *, taken: str) -> None:
        """Raise InvalidInput for the first row with the name of an earlier one."""
        for number, name in enumerate(names):
            if name in names[:number]:
                raise self.complain(number, "name", f"{name!r} is {taken}; rename one")

    def complain(self, row: int | None, field: str, what: str) -> InvalidInput:
        """One sentence with file, line and field; rows are counted from 0."""
        return InvalidInput(f"{self.file_name}, line {self._find_line(row, field)}: {field} {what}")

    def _find_line(self, row: int | None, field: str) -> int:
        lines = self.text.splitlines()
        head = re.compile(rf"\s*\[\[\s*{re.escape(self.row_name)}\s*\]\]")
        heads = [at for at, line in enumerate(lines) if head.match(line)]
        start = heads[row] if row is not None and row < len(heads) else 0
        later = [head for head in heads if head > start]
        end = later[0] if later else len(lines)
        pattern = re.compile(rf"\s*\"?{re.escape(field)}\"?\s*=")
        for at in range(start, end):
            if pattern.match(lines[at]):
                return at + 1
        return start + 1
