"""PTB-XL by person: the tuning people have even patient numbers, the reported ones odd numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

from benchmarks.quality.open_data import read_all, read_ptbxl_rows
from couchside.measures import MeasureName
from couchside.quality import Assessment, check
from couchside.recording import Recording
from couchside.serial import Examined
from couchside.serial.shape import BeatShape, find_shape

SPLIT = (
    "PTB-XL, people with an even patient number for tuning, those with an odd one reported; all "
    "pairs of two recordings of one person, and pairs of different people within a part, at most "
    "6,000 drawn at random."
)
MOST_PAIRS = 6000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """One recording of a person, and the shape of its beat."""

    examined: Examined
    shape: BeatShape


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Person:
    """A person with their recordings in the order of the database, which is that of time."""

    number: int
    recordings: tuple[Taken, ...]

    @property
    def is_reported(self) -> bool:
        """Whether the person counts among those that are reported."""
        return self.number % 2 == 1


def read_people(folder: Path) -> list[Person]:
    """Every person with at least one recording whose beat has a shape."""
    rows = read_ptbxl_rows(folder)
    people: dict[int, list[Taken]] = {}
    for name, recording in read_all(folder, "ptbxl"):
        taken = _take(recording, check(recording))
        if taken is not None:
            people.setdefault(int(float(rows[name]["patient_id"])), []).append(taken)
    return [Person(number=number, recordings=tuple(taken)) for number, taken in people.items()]


def list_own_pairs(people: list[Person], *, reported: bool) -> list[tuple[Taken, Taken]]:
    """The later and the earlier of every two recordings of one person."""
    return [
        (later, earlier)
        for person in people
        if person.is_reported is reported
        for earlier, later in combinations(person.recordings, 2)
    ]


def list_other_pairs(people: list[Person], *, reported: bool) -> list[tuple[Taken, Taken]]:
    """Recordings of two people, one of each, in an order drawn once for all."""
    part = [person for person in people if person.is_reported is reported]
    pairs = list(_pair_up(part))
    order = np.random.default_rng(1984).permutation(len(pairs))[:MOST_PAIRS]
    return [pairs[place] for place in order]


def qrs_change_ms(new: Taken, old: Taken) -> float | None:
    """By how much QRS differs."""
    now, then = (
        each.examined.assessment.measures.get(MeasureName.QRS_DURATION).value for each in (new, old)
    )
    return None if now is None or then is None else now - then


def _pair_up(part: list[Person]) -> Iterator[tuple[Taken, Taken]]:
    for one, other in combinations(part, 2):
        for first in one.recordings:
            for second in other.recordings:
                yield first, second


def _take(recording: Recording, assessment: Assessment) -> Taken | None:
    shape = find_shape(assessment.waves.representative)
    if shape is None:
        return None
    return Taken(examined=Examined(recording=recording, assessment=assessment), shape=shape)
