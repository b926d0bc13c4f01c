"""Limits by age and sex as a table of cells, each with its source and how far it can be trusted.

The cells stand in `limits.csv`, in order of preference: the first that fits a person counts.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from couchside.errors import InvalidInput
from couchside.measures.model import Limits, MeasureName, Trust
from couchside.recording import Sex

ADULT_YEARS = 18.0
_DAYS_PER_YEAR = 365.2425
_ANY_SEX = "any"
_TRUST = {"seen": Trust.SEEN, "second hand": Trust.SECOND_HAND, "memory": Trust.FROM_MEMORY}

TABLE_TITLES = {
    "whi-2013": "Women's Health Initiative, 2nd to 98th centile",
    "mason-2007": "Mason 2007, 2nd to 98th centile",
    "teaching": "teaching table, University of Chicago",
    "phan-2015": "Phan 2015, 2 SD",
    "rijnbeek-2001": "Rijnbeek 2001, 2nd to 98th centile",
    "usual": "usual limit",
}
"""What a page says of each table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitCell:
    """One pair of limits, for people of one sex between two ages.

    Parameters
    ----------
    table : str
        Key of `TABLE_TITLES`.
    name : MeasureName
        Which measure.
    sex : Sex or None
        None where it holds for everybody.
    from_years, below_years : float
        Ages for which it holds, the first included.
    low, high : float or None
        The limits.
    people : str
        For whom it holds, in words.
    source : str
        Key in `docs/references.md`.
    trust : Trust
        Whether the source was read.
    """

    table: str
    name: MeasureName
    sex: Sex | None
    from_years: float
    below_years: float
    low: float | None
    high: float | None
    people: str
    source: str
    trust: Trust


@cache
def load_cells() -> tuple[LimitCell, ...]:
    """Every cell, in order of preference."""
    text = (files("couchside.measures") / "limits.csv").read_text(encoding="utf-8")
    return tuple(_make_cell(row) for row in csv.DictReader(text.splitlines()))


def find_cell(
    name: MeasureName, age_years: float, sex: Sex, *, table: str | None = None
) -> LimitCell | None:
    """The first cell that fits a person.

    Parameters
    ----------
    name : MeasureName
        Which measure.
    age_years : float
        On the day of the recording.
    sex : Sex
        A cell for one sex fits nobody whose sex is not stated.
    table : str or None
        Look into this table alone.

    Raises
    ------
    InvalidInput
        If there is no table of that name.
    """
    if table is not None and table not in TABLE_TITLES:
        known = ", ".join(TABLE_TITLES)
        raise InvalidInput(f"there is no table of limits {table!r}; choose from {known}")
    for cell in _cells_by_name().get(name, ()):
        fits = cell.from_years <= age_years < cell.below_years and cell.sex in {None, sex}
        if fits and table in {None, cell.table}:
            return cell
    return None


def as_limits(cell: LimitCell) -> Limits:
    """A cell as limits, with its table and its people in words."""
    return Limits(
        low=cell.low,
        high=cell.high,
        population=cell.people,
        source=TABLE_TITLES[cell.table],
        trust=cell.trust,
    )


@cache
def _cells_by_name() -> dict[MeasureName, tuple[LimitCell, ...]]:
    cells = load_cells()
    return {name: tuple(cell for cell in cells if cell.name is name) for name in MeasureName}


def _make_cell(row: dict[str, str]) -> LimitCell:
    return LimitCell(
        table=row["table"],
        name=MeasureName(row["measure"]),
        sex=None if row["sex"] == _ANY_SEX else Sex(row["sex"]),
        from_years=_parse_age(row["from_age"]),
        below_years=_parse_age(row["below_age"]) if row["below_age"] else float("inf"),
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        people=row["people"],
        source=row["source"],
        trust=_TRUST[row["trust"]],
    )


def _parse_age(text: str) -> float:
    """Years from an age such as ``7d``, ``3m`` or ``16y``."""
    number, unit = float(text[:-1]), text[-1]
    return number / {"d": _DAYS_PER_YEAR, "m": 12.0, "y": 1.0}[unit]
