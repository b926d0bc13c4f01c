"""Usual hearts, as fitted numbers: where each place's nine potentials lie and how they go together.

The numbers stand in `population.csv` and `caution.csv` beside this module, made by
``python -m benchmarks quality fit-cables``; docs/cable-model.md says from which recordings.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from couchside.quality.interchange.arrangements import RECORDED_ELECTRODES, ArrangementGroup
from couchside.quality.interchange.features import PLACES, BeatFeatures

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Population:
    """Usual hearts.

    Parameters
    ----------
    mean : array of shape (place, electrode)
        Middle of the scaled potentials.
    whitening : array of shape (place, 8, electrode)
        Turns a departure from the middle into eight numbers of like spread; blind to what all
        nine potentials have in common.
    """

    mean: FloatArray
    whitening: FloatArray

    def __post_init__(self) -> None:
        for array in (self.mean, self.whitening):
            array.setflags(write=False)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UsualHearts:
    """Usual hearts by the width of their QRS, which no exchange changes.

    Parameters
    ----------
    narrow, wide : Population
        With a block of a bundle branch or paced, QRS and T run another way.
    """

    narrow: Population
    wide: Population

    def like(self, features: BeatFeatures) -> Population:
        """Those with a QRS as wide as in these features."""
        return self.wide if features.is_wide else self.narrow


@cache
def get_population() -> UsualHearts:
    """The fitted populations, read once."""
    rows = _read()
    return UsualHearts(narrow=_take(rows, "narrow"), wide=_take(rows, "wide"))


@cache
def get_caution() -> dict[ArrangementGroup, float]:
    """How much more than "in place" an arrangement of each group must explain, natural log."""
    text = files(__package__).joinpath("caution.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {ArrangementGroup(row["group"]): float(row["caution"]) for row in rows}


def _take(rows: list[dict[str, str]], width: str) -> Population:
    own = [row for row in rows if row["qrs"] == width]
    values = np.array([[float(row[str(each)]) for each in RECORDED_ELECTRODES] for row in own])
    by_place = values.reshape(PLACES, len(RECORDED_ELECTRODES), len(RECORDED_ELECTRODES))
    return Population(mean=by_place[:, 0].copy(), whitening=by_place[:, 1:].copy())


def _read() -> list[dict[str, str]]:
    text = files(__package__).joinpath("population.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
