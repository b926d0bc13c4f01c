"""The noise of every electrode in every band, as the assessment holds it."""

from __future__ import annotations

import numpy as np

from couchside.quality.attribution import SOLVABLE_ELECTRODES, solve_each
from couchside.quality.model import Band, ElectrodeNoise
from couchside.quality.signals import Signals
from couchside.quality.sources import choose_leads


def measure_electrode_noise(signals: Signals) -> ElectrodeNoise | None:
    """Solve every band over the whole recording where it is quiet, wander too.

    None where the leads do not allow it, or where no sample is quiet.
    """
    chosen = choose_leads(signals.leads)
    if chosen is None or not signals.quiet.any():
        return None
    rows = [signals.leads.index(name) for name in chosen]
    among = np.ix_(rows, rows)
    covariances = {band: each.covariance()[among] for band, each in signals.moments.items()}
    wander = signals.noise[Band.WANDER][rows] * signals.quiet
    covariances[Band.WANDER] = wander @ wander.T / np.count_nonzero(signals.quiet)
    solved = solve_each(np.array(list(covariances.values())), chosen)
    return ElectrodeNoise(
        electrodes=SOLVABLE_ELECTRODES,
        bands=tuple(covariances),
        noise_rms_uv=np.array([solution.noise_rms_uv for solution in solved]),
        fit=np.array([solution.fit for solution in solved]),
    )
