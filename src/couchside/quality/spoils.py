"""What spoils which lead when: one table of windows for each kind of trouble."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.contact import find_flat, find_missing, find_saturated
from couchside.quality.model import Band, FindingKind
from couchside.quality.signals import Signals, prepare_signals
from couchside.quality.steps import measure_steps
from couchside.recording import Recording
from couchside.waves import Waves
from couchside.waves.pacing import bridge_spikes, find_pacing_spikes

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


def weigh(recording: Recording, waves: Waves) -> tuple[Signals, dict[FindingKind, Spoil]]:
    """The recording made ready, and every kind of trouble in it.

    An impulse of a pacemaker is no fault of an electrode, yet looks like tremor or a jump. Where
    something of that kind is noticed, impulses that keep step with the beats are bridged by
    straight lines; what comes at any time, such as a pop, stays.
    """
    signals = prepare_signals(recording, waves)
    spoils = find_spoils(signals)
    if not any(spoils[kind].noticed.any() for kind in _LIKE_IMPULSES):
        return signals, spoils
    spikes = find_pacing_spikes(recording, waves)
    if spikes.count == 0:
        return signals, spoils
    bridged = prepare_signals(bridge_spikes(recording, spikes), waves)
    return bridged, find_spoils(bridged)


_LIKE_IMPULSES = (FindingKind.POP, FindingKind.MOVEMENT, FindingKind.MUSCLE_TREMOR)


def find_spoils(signals: Signals) -> dict[FindingKind, Spoil]:
    """Every kind of trouble in its windows, heaviest kind first; all tables have one shape."""
    dead = [
        _mark(FindingKind.MISSING_SAMPLES, find_missing(signals)),
        _mark(FindingKind.SATURATED, find_saturated(signals)),
        _mark(FindingKind.FLAT, find_flat(signals)),
    ]
    levels_uv = measure_levels(signals)
    jumped = levels_uv[FindingKind.POP] > thresholds.NOTICED_UV[FindingKind.POP]
    noise = [_weigh(kind, level_uv, jumped) for kind, level_uv in levels_uv.items()]
    return {spoil.kind: spoil for spoil in dead + noise}


def measure_levels(signals: Signals) -> dict[FindingKind, FloatArray]:
    """Noise by kind; a window in which nothing could be weighed counts as quiet."""
    levels_uv = {FindingKind.POP: measure_steps(signals)}
    for kind, band in BAND_OF_KIND.items():
        if kind != FindingKind.POP:
            levels_uv[kind] = np.nan_to_num(signals.moments[band].rms_uv)
    return levels_uv


def _weigh(kind: FindingKind, level_uv: FloatArray, jumped: BoolArray) -> Spoil:
    """What a jump leaves behind in another band hides as much, but is not told twice."""
    told = level_uv
    if kind in _AFTERMATH:
        before, after = _AFTERMATH[kind]
        told = np.where(_spread(jumped, before=before, after=after), 0.0, level_uv)
    return Spoil(
        kind=kind,
        level_uv=told,
        noticed=told > thresholds.NOTICED_UV[kind],
        hides=level_uv > thresholds.HIDES_UV[kind],
    )


_AFTERMATH = {
    FindingKind.MOVEMENT: (1, thresholds.AFTERMATH_WINDOWS),
    FindingKind.WANDER: (1, thresholds.AFTERMATH_WINDOWS),
    FindingKind.MUSCLE_TREMOR: (1, 1),
}
"""Windows before and after a jump in which these kinds are the jump's own trace."""


def _mark(kind: FindingKind, marked: BoolArray) -> Spoil:
    return Spoil(kind=kind, level_uv=np.zeros(marked.shape), noticed=marked, hides=marked)


def _spread(marked: BoolArray, *, before: int, after: int) -> BoolArray:
    spread = marked.copy()
    for step in range(1, after + 1):
        spread[:, step:] |= marked[:, :-step]
    for step in range(1, before + 1):
        spread[:, :-step] |= marked[:, step:]
    return spread
