"""What spoils which lead when: one table of windows for each kind of trouble."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.contact import find_flat, find_missing, find_saturated
from couchside.quality.model import Band, FindingKind
from couchside.quality.signals import Signals
from couchside.quality.steps import measure_steps
from couchside.quality.windows import window_rms

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

BAND_OF_KIND = {
    FindingKind.POP: Band.MOVEMENT,
    FindingKind.MOVEMENT: Band.MOVEMENT,
    FindingKind.WANDER: Band.WANDER,
    FindingKind.MUSCLE_TREMOR: Band.MUSCLE,
    FindingKind.MAINS: Band.MAINS,
}
"""The kinds that noise comes in, and the band in which each is traced to an electrode."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spoil:
    """One kind of trouble, lead by lead and window by window.

    Parameters
    ----------
    kind : FindingKind
        What it is.
    level_uv : array of shape (lead, window)
        How much of it there is, in µV; 0 for the kinds that are either there or not.
    noticed : array of bool, shape (lead, window)
        Where it is enough to be mentioned.
    hides : array of bool, shape (lead, window)
        Where it is so much that the lead cannot be read.
    """

    kind: FindingKind
    level_uv: FloatArray
    noticed: BoolArray
    hides: BoolArray


def find_spoils(signals: Signals) -> dict[FindingKind, Spoil]:
    """Every kind of trouble in its windows, heaviest kind first; all tables have one shape."""
    dead = [
        _mark(FindingKind.MISSING_SAMPLES, find_missing(signals)),
        _mark(FindingKind.SATURATED, find_saturated(signals)),
        _mark(FindingKind.FLAT, find_flat(signals)),
    ]
    steps_uv = measure_steps(signals)
    noise = [_weigh(kind, level_uv) for kind, level_uv in _noise_levels(signals, steps_uv).items()]
    return {spoil.kind: spoil for spoil in dead + noise}


def _noise_levels(signals: Signals, steps_uv: FloatArray) -> dict[FindingKind, FloatArray]:
    """Noise by kind; what a jump leaves behind in the other bands is not counted twice."""
    window = signals.window_samples
    every = np.ones_like(signals.quiet)
    jumped = steps_uv > thresholds.NOTICED_UV[FindingKind.POP]
    aftermath = _spread(jumped, before=1, after=thresholds.AFTERMATH_WINDOWS)
    levels = {
        band: window_rms(noise, every if band == Band.WANDER else signals.quiet, window)
        for band, noise in signals.noise.items()
    }
    return {
        FindingKind.POP: steps_uv,
        FindingKind.MOVEMENT: np.where(aftermath, 0.0, _filled(levels[Band.MOVEMENT])),
        FindingKind.WANDER: np.where(aftermath, 0.0, _filled(levels[Band.WANDER])),
        FindingKind.MUSCLE_TREMOR: np.where(
            _spread(jumped, before=1, after=1), 0.0, _filled(levels[Band.MUSCLE])
        ),
        FindingKind.MAINS: _filled(levels[Band.MAINS]),
    }


def _weigh(kind: FindingKind, level_uv: FloatArray) -> Spoil:
    return Spoil(
        kind=kind,
        level_uv=level_uv,
        noticed=level_uv > thresholds.NOTICED_UV[kind],
        hides=level_uv > thresholds.HIDES_UV[kind],
    )


def _mark(kind: FindingKind, marked: BoolArray) -> Spoil:
    return Spoil(kind=kind, level_uv=np.zeros(marked.shape), noticed=marked, hides=marked)


def _filled(level_uv: FloatArray) -> FloatArray:
    """A window in which nothing could be weighed counts as quiet."""
    return np.nan_to_num(level_uv, nan=0.0)


def _spread(marked: BoolArray, *, before: int, after: int) -> BoolArray:
    spread = marked.copy()
    for step in range(1, after + 1):
        spread[:, step:] |= marked[:, :-step]
    for step in range(1, before + 1):
        spread[:, :-step] |= marked[:, step:]
    return spread
