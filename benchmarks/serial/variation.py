"""How much repeated recordings of one person differ, and how often that counts as unusual."""

from __future__ import annotations

import numpy as np

from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person, list_own_pairs
from couchside.measures import MeasureName
from couchside.measures.names import TABLE_NAMES
from couchside.serial import Change, Comparison, Difference, Weight, compare


def measure_variation(people: list[Person]) -> list[Table]:
    """Median change and the share that is called more than usual, by measure and by wave."""
    tuning, reported = (
        [compare(new.examined, old.examined) for new, old in list_own_pairs(people, reported=part)]
        for part in (False, True)
    )
    rows = [
        (
            TABLE_NAMES[name],
            unit,
            *_cells(_changes(tuning, name)),
            *_cells(_changes(reported, name)),
        )
        for name, unit in _names(reported)
    ]
    for part in ("qrs", "st", "t"):
        words = {"qrs": "QRS of a lead", "st": "ST of a lead", "t": "T of a lead"}[part]
        rows.append((words, "µV", *_cells(_parts(tuning, part)), *_cells(_parts(reported, part))))
    return [
        Table(
            title="What changes from day to day",
            about=(
                "All pairs of two recordings of one PTB-XL person, some of whom fell ill between "
                "them. Limits that are no rule of the trade were set on the tuning part, which is "
                "five pairs: read them as an order of size."
            ),
            columns=(
                "what",
                "unit",
                "median change, tuning",
                "more than usual, tuning",
                "median change, reported",
                "more than usual, reported",
            ),
            rows=tuple(rows),
        )
    ]


def _names(comparisons: list[Comparison]) -> list[tuple[MeasureName, str]]:
    seen = {each.name: each.unit for comparison in comparisons for each in comparison.changes}
    return list(seen.items())


def _changes(comparisons: list[Comparison], name: MeasureName) -> list[Change | Difference]:
    return [
        change
        for comparison in comparisons
        for change in comparison.changes
        if change.name is name and change.change is not None
    ]


def _parts(comparisons: list[Comparison], part: str) -> list[Change | Difference]:
    found: list[Difference] = [
        getattr(lead, part) for comparison in comparisons for lead in comparison.leads
    ]
    return [difference for difference in found if difference.change_uv is not None]


def _cells(found: list[Change | Difference]) -> tuple[str, str]:
    sizes = [
        abs((each.change if isinstance(each, Change) else each.change_uv) or 0.0) for each in found
    ]
    more = sum(each.weight is Weight.MORE for each in found)
    return (f"{np.median(sizes):.0f}" if sizes else "–", rate(more, len(found)))
