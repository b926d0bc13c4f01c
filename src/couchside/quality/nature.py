"""What lies behind a noise: an open input, a loose electrode, or perhaps the heart itself."""

from __future__ import annotations

from math import inf

import numpy as np

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind
from couchside.waves.medians import median_of_rows
from couchside.waves.model import Waves

LEFT_OVER_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT})
"""What parts of beats look like that were not taken out."""
_LOOSE_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT, FindingKind.WANDER})


def floats(cause: Cause) -> bool:
    """So much noise of one electrode that its input must be open."""
    one = len(cause.electrodes) == 1
    return one and cause.level_uv >= thresholds.FLOATING_UV.get(cause.kind, inf)


def is_loose(causes: list[Cause]) -> bool:
    """Mains comes in where contact is poor: with movement at that electrode, or by turns."""
    one = [cause for cause in causes if len(cause.electrodes) == 1]
    mains = [cause for cause in one if cause.kind == FindingKind.MAINS]
    if not mains:
        return False
    by_turns = float(mains[0].windows.mean()) <= thresholds.BY_TURNS_SHARE
    return by_turns or any(cause.kind in _LOOSE_KINDS for cause in one)


def put_first(causes: list[Cause]) -> list[Cause]:
    """Causes of one place, the one that brings the others with it first.

    A shaking limb moves its electrode; a jump rings in the bands of movement, tremor and wander.
    """
    for cause in causes:
        if cause.kind == FindingKind.LIMB_TREMOR and _outweighs(cause, causes):
            return [cause, *(each for each in causes if each is not cause)]
    for cause in causes:
        if cause.kind == FindingKind.POP and _leaves_behind(cause, causes):
            return [cause, *(each for each in causes if each is not cause)]
    return causes


def _outweighs(tremor: Cause, causes: list[Cause]) -> bool:
    return all(
        each.level_uv <= tremor.level_uv * thresholds.TREMOR_BRINGS[each.kind]
        for each in causes
        if each.kind in thresholds.TREMOR_BRINGS
    )


def _leaves_behind(pop: Cause, causes: list[Cause]) -> bool:
    """Whether the other noise stands where the jumps and their traces are."""
    trace = pop.windows.copy()
    for step in range(1, thresholds.AFTERMATH_WINDOWS + 1):
        trace[step:] |= pop.windows[:-step]
    trace[:-1] |= pop.windows[1:]
    others = [each for each in causes if each.kind in thresholds.POP_BRINGS]
    return all(
        (each.windows & trace).sum() >= thresholds.COVERED_SHARE * each.windows.sum()
        for each in others
    )


def may_be_the_heart(cause: Cause, waves: Waves) -> bool:
    """Noise of no one electrode while beats come fast: a rhythm must not be recorded away."""
    sure = cause.blamed == 1 and cause.fit >= thresholds.FAULTY_BEAT_SHARE
    if sure or cause.kind not in LEFT_OVER_KINDS or waves.beat_count < 3:
        return False
    usual_rr_s = (
        float(median_of_rows(np.diff(waves.beat_samples).astype(np.float64))) / waves.rate_hz
    )
    return usual_rr_s < thresholds.FAST_RR_S
