"""Weights of the half-widths; see `uncertainty`.

Fitted by `python -m benchmarks.accuracy.fit_uncertainty` to LUDB records of odd number, clean and
with noise added, and to simulated people and written beats of seeds and shapes of their own; from
none of these is a figure in `docs/validation.md` reported.
"""

from __future__ import annotations

from couchside.measures.model import MeasureName

# fmt: off
WEIGHTS: dict[MeasureName, tuple[float, float, float, float]] = {
    MeasureName.P_DURATION: (12.298, 0.229, 0.321, 1.424),
    MeasureName.PR_INTERVAL: (9.510, 0.504, 0.522, 1.463),
    MeasureName.QRS_DURATION: (27.473, 1.894, 1.351, 0.161),
    MeasureName.QT_INTERVAL: (25.720, 6.165, 0.006, 3.690),
    MeasureName.JT_INTERVAL: (13.768, 4.379, 0.020, 3.177),
}
"""Constant in ms, leads, beats, noise."""
