"""The noise of every electrode in every band, as the assessment holds it."""

from __future__ import annotations

import numpy as np

from couchside.quality.attribution import SOLVABLE_ELECTRODES, attribute
from couchside.quality.model import ElectrodeNoise
from couchside.quality.signals import Signals


def measure_electrode_noise(signals: Signals) -> ElectrodeNoise | None:
    """Solve every band over the whole recording; None where the leads do not allow it."""
    solved = {
        band: attribute(noise, signals.leads, signals.quiet)
        for band, noise in signals.noise.items()
    }
    found = {band: solution for band, solution in solved.items() if solution is not None}
    if not found:
        return None
    return ElectrodeNoise(
        electrodes=SOLVABLE_ELECTRODES,
        bands=tuple(found),
        noise_rms_uv=np.array([solution.noise_rms_uv for solution in found.values()]),
        fit=np.array([solution.fit for solution in found.values()]),
    )
