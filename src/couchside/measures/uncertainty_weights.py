"""Weights of the half-widths; see `uncertainty`.

Fitted by `python -m benchmarks.accuracy.fit_uncertainty` to LUDB records of odd number, clean and
with noise added, and to simulated people and written beats of seeds and shapes of their own; from
none of these is a figure in `docs/validation.md` reported.
"""

from __future__ import annotations

from couchside.measures.model import MeasureName

# fmt: off
WEIGHTS: dict[MeasureName, tuple[float, float, float, float]] = {
    MeasureName.P_DURATION: (5.657, 1.178, 0.095, 0.980),
    MeasureName.PR_INTERVAL: (8.963, 1.263, 0.144, 1.108),
    MeasureName.QRS_DURATION: (27.126, 2.273, 1.463, 0.227),
    MeasureName.QT_INTERVAL: (27.100, 6.157, 0.007, 3.573),
    MeasureName.JT_INTERVAL: (16.194, 1.948, 0.002, 3.522),
}
"""Constant in ms, leads, beats, noise."""

FEW_LEADS_FACTORS: dict[MeasureName, float] = {
    MeasureName.P_DURATION: 2.022,
    MeasureName.PR_INTERVAL: 1.503,
    MeasureName.QRS_DURATION: 1.300,
    MeasureName.QT_INTERVAL: 1.000,
    MeasureName.JT_INTERVAL: 1.347,
}
"""By how much wider with one or two leads."""
