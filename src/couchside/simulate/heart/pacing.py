"""The impulses of a pacemaker."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.heart.rhythm import BeatKind, Plan

FloatArray = NDArray[np.float64]

SPIKE_UV = np.array((2600.0, 4200.0, -1500.0))
SPIKE_MS = 0.5
SPIKE_BEFORE_QRS_MS = 12.0


def add_spikes(sources_uv: FloatArray, plan: Plan, rate_hz: float) -> None:
    """Add an impulse before each paced beat, in place.

    An impulse is far shorter than a sample, so each of the two samples that it falls between takes
    its share of the impulse's area, as a recorder that averages over its sampling interval does.

    Parameters
    ----------
    sources_uv : array of shape (12, sample)
        The heart's sources; the first three rows are the dipole.
    plan : Plan
        When the paced beats come.
    rate_hz : float
        Samples per second.
    """
    height = SPIKE_UV * min(1.0, SPIKE_MS / 1000.0 * rate_hz)
    for beat in plan.beats:
        if beat.kind is BeatKind.PACED:
            place = (beat.qrs_onset_s - SPIKE_BEFORE_QRS_MS / 1000.0) * rate_hz
            first = int(np.floor(place))
            for sample, share in ((first, 1.0 + first - place), (first + 1, place - first)):
                if 0 <= sample < sources_uv.shape[1]:
                    sources_uv[:3, sample] += share * height
