"""Weights of the half-widths; see `uncertainty`.

Fitted by `python -m benchmarks.accuracy.fit_uncertainty --data FOLDER`, on the day that stands
beside each, to LUDB records of odd number, clean, with noise added and with one or two leads, and
to simulated people and written beats of seeds, rates and widths of their own; from none of these is
a figure in `docs/validation.md` reported. "Raised": of these, the constant alone was raised again
on that day, with `--raise`, to hold the last two.
"""

from __future__ import annotations

from couchside.measures.model import MeasureName

# fmt: off
WEIGHTS: dict[MeasureName, tuple[float, float, float, float]] = {
    MeasureName.P_DURATION: (5.657, 1.178, 0.095, 0.980),  # 2026-11-26
    MeasureName.PR_INTERVAL: (9.805, 1.263, 0.144, 1.108),  # 2026-11-27, raised
    MeasureName.QRS_DURATION: (27.126, 2.273, 1.463, 0.227),  # 2026-11-25
    MeasureName.QT_INTERVAL: (27.100, 6.157, 0.007, 3.573),  # 2026-11-25
    MeasureName.JT_INTERVAL: (19.500, 1.948, 0.002, 3.522),  # 2026-11-27, raised
}
"""Constant in ms, leads, beats, noise."""

FEW_LEADS_FACTORS: dict[MeasureName, float] = {
    MeasureName.P_DURATION: 2.022,  # 2026-11-26
    MeasureName.PR_INTERVAL: 1.503,  # 2026-11-26
    MeasureName.QRS_DURATION: 1.300,  # 2026-11-25
    MeasureName.QT_INTERVAL: 1.000,  # 2026-11-25
    MeasureName.JT_INTERVAL: 1.347,  # 2026-11-25
}
"""By how much wider with one or two leads."""
