"""Microvolts to the 16-bit integers that files store."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Recording

LARGEST = 32_767
MISSING = -32_768
"""What stands for a missing sample, in WFDB format 16 by definition, in DICOM as padding value."""

USUAL_STEP_UV = 1.0
"""Taken where the recording states no resolution: finer than the 5 µV that a recorder must have
[IEC60601-2-25]."""


def choose_step_uv(recording: Recording) -> float:
    """Microvolts in one step of the stored integers, one for all leads.

    The recording's own resolution, else 1 µV; where the largest sample does not fit into 16 bits
    so, the smallest of 1, 2, 5, 10, … µV with which it does.

    Parameters
    ----------
    recording : Recording
        Its samples and stated resolution decide.

    Returns
    -------
    float
        A positive number that a text of ten digits holds.
    """
    finite = recording.microvolts[np.isfinite(recording.microvolts)]
    largest_uv = float(np.abs(finite).max(initial=0.0))
    stated_uv = recording.settings.resolution_uv
    wanted_uv = stated_uv if stated_uv is not None and stated_uv > 0 else USUAL_STEP_UV
    step_uv = float(f"{wanted_uv:.10g}")
    return step_uv if largest_uv / step_uv <= LARGEST else _round_up(largest_uv / LARGEST)


def quantise(microvolts: NDArray[np.float64], step_uv: float) -> NDArray[np.int16]:
    """Nearest integers of samples, `MISSING` where they are NaN; of the same shape."""
    steps = np.where(np.isnan(microvolts), MISSING, np.rint(microvolts / step_uv))
    rounded: NDArray[np.int16] = steps.astype(np.int16)
    return rounded


def _round_up(step_uv: float) -> float:
    decade = 10.0 ** math.floor(math.log10(step_uv))
    return next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= step_uv)
