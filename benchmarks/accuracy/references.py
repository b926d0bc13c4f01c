"""Intervals over all leads as the experts, or the simulation, have them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from benchmarks.accuracy.annotated import Annotated, FloatArray, Wave
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


ReadOverall = Callable[[FloatArray, float], float]
_OF_MEDIAN = np.pi / 2
"""Variance of a median of many normal values, as a multiple of that of their mean."""


def reference_intervals(
    annotated: Annotated, waves: Waves, read: ReadOverall = overall_reference
) -> dict[MeasureName, float]:
    """What is known of each interval in ms: exact where the recording is simulated.

    Parameters
    ----------
    annotated : Annotated
        The recording with its marks.
    waves : Waves
        Tell which beats are those of the leading group.
    read : function
        Boundary over all leads from offsets of shape (lead, beat) and the sign of the side.
    """
    found = _exact(annotated) if annotated.overall else _as_experts_marked(annotated, waves, read)
    return {name: value for name, value in found.items() if np.isfinite(value)}


def read_without_spread(offsets: FloatArray, sign: float) -> float:
    """The second outermost lead, after what the hand's unsteadiness adds was taken out.

    A lead's median over its beats is off by chance, by how much the spread of its marks tells; so
    the leads lie farther apart than they are, and the outermost too far out. Drawn towards their
    mean until their variance is what is left without that chance, they keep their order and lie as
    far apart as they are (constrained empirical Bayes) [Louis1984].
    """
    known = [row[np.isfinite(row)] for row in offsets]
    repeated = [row for row in known if row.size > 1]
    if not np.isfinite(overall_reference(offsets, sign)) or not repeated:
        return overall_reference(offsets, sign)
    within = sum(float(row.var()) * row.size for row in repeated)
    variance = within / sum(row.size - 1 for row in repeated)
    leads = np.array([np.median(row) for row in known if row.size])
    by_chance = variance * np.mean([_OF_MEDIAN / row.size for row in known if row.size])
    share = np.sqrt(max(1.0 - by_chance / max(float(leads.var(ddof=1)), 1e-9), 0.0))
    drawn = leads.mean() + share * (leads - leads.mean())
    return overall_reference(drawn[:, None], sign)


def _as_experts_marked(
    annotated: Annotated, waves: Waves, read: ReadOverall
) -> dict[MeasureName, float]:
    """Each lead's median over the leading beats, then the second outermost lead."""
    beats_ms = waves.beat_samples.astype(np.float64) * (1000.0 / waves.rate_hz)
    leading = waves.beat_groups == 0
    reference = {
        (wave, side): read(reference_offsets(annotated, wave, side, beats_ms)[:, leading], sign)
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
