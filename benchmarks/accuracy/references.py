"""Intervals over all leads as the experts, or the simulation, have them."""

from __future__ import annotations

import numpy as np

from benchmarks.accuracy.annotated import Annotated, Wave
from benchmarks.accuracy.edge_samples import overall_reference, reference_offsets
from couchside.measures import MeasureName
from couchside.waves import Waves

ENDS = {
    MeasureName.P_DURATION: ((Wave.P, "onset"), (Wave.P, "offset")),
    MeasureName.PR_INTERVAL: ((Wave.P, "onset"), (Wave.QRS, "onset")),
    MeasureName.QRS_DURATION: ((Wave.QRS, "onset"), (Wave.QRS, "offset")),
    MeasureName.QT_INTERVAL: ((Wave.QRS, "onset"), (Wave.T, "offset")),
    MeasureName.JT_INTERVAL: ((Wave.QRS, "offset"), (Wave.T, "offset")),
}
"""The two boundaries of each interval."""


def reference_intervals(annotated: Annotated, waves: Waves) -> dict[MeasureName, float]:
    """What is known of each interval in ms: exact where the recording is simulated.

    Parameters
    ----------
    annotated : Annotated
        The recording with its marks.
    waves : Waves
        Tell which beats are those of the leading group.
    """
    found = _exact(annotated) if annotated.overall else _as_experts_marked(annotated, waves)
    return {name: value for name, value in found.items() if np.isfinite(value)}


def _as_experts_marked(annotated: Annotated, waves: Waves) -> dict[MeasureName, float]:
    """Each lead's median over the leading beats, then the second outermost lead."""
    beats_ms = waves.beat_samples.astype(np.float64) * (1000.0 / waves.rate_hz)
    leading = waves.beat_groups == 0
    reference = {
        (wave, side): overall_reference(
            reference_offsets(annotated, wave, side, beats_ms)[:, leading], sign
        )
        for wave in Wave
        for side, sign in (("onset", -1.0), ("offset", 1.0))
    }
    return {name: reference[end] - reference[start] for name, (start, end) in ENDS.items()}


def _exact(annotated: Annotated) -> dict[MeasureName, float]:
    """The median of the exact ones."""
    to_ms = 1000.0 / annotated.recording.rate_hz
    marks = sorted(annotated.overall, key=lambda mark: mark.peak)
    intervals = {}
    for name, ((first, start), (second, end)) in ENDS.items():
        exact = [
            (getattr(later, end) - getattr(earlier, start)) * to_ms
            for earlier, later in zip(marks, marks if first is second else marks[1:], strict=False)
            if earlier.wave is first and later.wave is second
        ]
        intervals[name] = float(np.median(exact)) if exact else np.nan
    return intervals
