"""The noise of every electrode in every band, as the assessment holds it."""

from __future__ import annotations

import numpy as np

from couchside.quality.attribution import SOLVABLE_ELECTRODES, solve_each
from couchside.quality.model import Band, ElectrodeNoise
from couchside.quality.moments import Selection, measure_moments
from couchside.quality.signals import Signals
from couchside.quality.sources import choose_leads


def measure_electrode_noise(signals: Signals) -> ElectrodeNoise | None:
    """Solve every band over the whole recording where it is quiet.

    None where the leads do not allow it, or where no sample is quiet.
    """
    chosen = choose_leads(signals.leads)
    if chosen is None or not signals.quiet.any():
        return None
    quiet = Selection.of(signals.quiet, signals.window_samples)
    wander = measure_moments(signals.noise[Band.WANDER], quiet)
    moments = {**signals.moments, Band.WANDER: wander}
    rows = [signals.leads.index(name) for name in chosen]
    among = np.ix_(rows, rows)
    solved = solve_each(np.array([each.covariance()[among] for each in moments.values()]), chosen)
    return ElectrodeNoise(
        electrodes=SOLVABLE_ELECTRODES,
        bands=tuple(moments),
        noise_rms_uv=np.array([solution.noise_rms_uv for solution in solved]),
        fit=np.array([solution.fit for solution in solved]),
    )
