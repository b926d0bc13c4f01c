"""What lies behind a noise: an open input, a loose electrode, or perhaps the heart itself."""

from __future__ import annotations

import numpy as np

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind
from couchside.waves.model import Waves

LEFT_OVER_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT})
"""What parts of beats look like that were not taken out."""
_LOOSE_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT, FindingKind.WANDER})


def floats(cause: Cause) -> bool:
    """So much noise of one electrode that its input must be open."""
    one = len(cause.electrodes) == 1
    return one and cause.level_uv >= thresholds.FLOATING_UV[cause.kind]


def is_loose(causes: list[Cause]) -> bool:
    """Mains comes in where contact is poor; with movement at the same electrode, it is loose."""
    kinds = {cause.kind for cause in causes if len(cause.electrodes) == 1}
    return FindingKind.MAINS in kinds and bool(kinds & _LOOSE_KINDS)


def may_be_the_heart(cause: Cause, waves: Waves) -> bool:
    """Noise of no one electrode while beats come fast: a rhythm must not be recorded away."""
    sure = cause.blamed == 1 and cause.fit >= thresholds.FAULTY_BEAT_SHARE
    if sure or cause.kind not in LEFT_OVER_KINDS or waves.beat_count < 3:
        return False
    usual_rr_s = float(np.median(np.diff(waves.beat_samples))) / waves.rate_hz
    return usual_rr_s < thresholds.FAST_RR_S
