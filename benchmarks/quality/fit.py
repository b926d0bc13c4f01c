"""Choose how much noise hides a lead, on the records of even index of CinC 2011.

The grid is coarse on purpose: 155 records with 31 unacceptable ones cannot bear more. For every
value the accuracy is averaged over the rest of the grid, so that no lucky corner wins.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.quality.open_data import read_all, read_cinc2011_labels
from benchmarks.quality.tables import Table
from couchside.quality import FindingKind, thresholds
from couchside.quality.readable import lacks_stretch
from couchside.quality.signals import prepare_signals
from couchside.quality.spoils import find_spoils, measure_levels
from couchside.recording import Recording
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Levels = dict[FindingKind, FloatArray]

GRID: dict[FindingKind, tuple[float, ...]] = {
    FindingKind.POP: (300.0, 400.0, 600.0, 900.0, 1500.0),
    FindingKind.MOVEMENT: (300.0, 500.0, 800.0, 1200.0),
    FindingKind.WANDER: (1500.0, 2500.0, 4000.0),
    FindingKind.MUSCLE_TREMOR: (100.0, 140.0, 200.0),
    FindingKind.MAINS: (50.0, 75.0, 110.0),
}
HIDDEN_LEADS = (0.6, 0.72, 0.84, 0.96, 1.2)
DEAD_KINDS = (FindingKind.FLAT, FindingKind.SATURATED, FindingKind.MISSING_SAMPLES)


def fit_hiding_levels(folder: Path) -> list[Table]:
    """Mean accuracy on the even half for each value of each level."""
    labels = read_cinc2011_labels(folder)
    named = sorted(read_all(folder, "cinc2011"), key=lambda pair: pair[0])
    even = [(recording, labels[name]) for name, recording in named if name in labels][::2]
    measured = [(*_measure(recording), bad) for recording, bad in even]
    corners = list(product(*GRID.values(), HIDDEN_LEADS))
    right = np.array([_accuracy(measured, corner) for corner in corners])
    rows = []
    for place, (name, values) in enumerate([*GRID.items(), ("hidden leads", HIDDEN_LEADS)]):
        rows += [
            (str(name), f"{value:g}", f"{right[_having(corners, place, value)].mean():.4f}")
            for value in values
        ]
    return [
        Table(
            title="How much hides a lead: chosen on the even half of CinC 2011",
            about=f"Mean accuracy over the grid; best corner {right.max():.4f}.",
            columns=("level", "µV (or leads)", "mean accuracy"),
            rows=tuple(rows),
        )
    ]


def _measure(recording: Recording) -> tuple[BoolArray, Levels]:
    signals = prepare_signals(recording, delineate(recording))
    spoils = find_spoils(signals)
    dead = np.logical_or.reduce([spoils[kind].hides for kind in DEAD_KINDS])
    return dead, measure_levels(signals)


def _accuracy(measured: list[tuple[BoolArray, Levels, bool]], corner: tuple[float, ...]) -> float:
    limits = dict(zip(GRID, corner, strict=False))
    return float(
        np.mean([_says(dead, uv, limits, corner[-1]) == bad for dead, uv, bad in measured])
    )


def _says(
    dead: BoolArray, levels: Levels, limits: dict[FindingKind, float], hidden_leads: float
) -> bool:
    hidden = np.logical_or.reduce([dead, *(levels[kind] > uv for kind, uv in limits.items())])
    too_much = hidden.mean(axis=1).sum() >= hidden_leads
    return bool(too_much or lacks_stretch(hidden, thresholds.WINDOW_S).any())


def _having(corners: list[tuple[float, ...]], place: int, value: float) -> BoolArray:
    return np.array([corner[place] == value for corner in corners])
