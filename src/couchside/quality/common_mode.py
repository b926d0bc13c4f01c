"""Mains that lifts the whole body: what an open right leg looks like in the leads.

The right leg enters no lead. Without its contact the body follows the mains, and each input keeps a
part of it by its own electrode's impedance [HuhtaWebster1973, from memory]. So one wave, in step
everywhere, stands at many electrodes with different sizes, where a fault of one electrode stands at
one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.sources import source_weights
from couchside.waves.medians import median_of_rows

FloatArray = NDArray[np.float64]


def is_common(covariance: FloatArray, leads: tuple[str, ...]) -> bool:
    """Whether a noise is one wave that stands at many electrodes.

    Parameters
    ----------
    covariance : array of shape (lead, lead)
        Noise covariance in µV² of independent leads.
    leads : tuple of str
        From `couchside.quality.sources.choose_leads`.
    """
    powers, shapes = np.linalg.eigh(covariance)
    total = float(powers.sum())
    if total <= 0.0 or powers[-1] < thresholds.IN_STEP_SHARE * total:
        return False
    potentials = np.linalg.pinv(source_weights(leads)) @ shapes[:, -1]
    apart = np.abs(potentials - median_of_rows(potentials))
    many = np.count_nonzero(apart >= thresholds.LIFTED_SHARE * apart.max())
    return bool(many >= thresholds.FEWEST_LIFTED)
