"""The shapes of the waves of one beat, as loops of the dipole.

The points were laid out by hand after the mean vectors that textbooks of vectorcardiography
describe (septal forces forward and to the right, free wall to the left and down, base to the back)
and tuned by looking at the leads [from memory].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.heart.loops import Loop, loop_through

FloatArray = NDArray[np.float64]

NORMAL_QRS_MOMENTS = (0.0, 0.11, 0.22, 0.33, 0.44, 0.55, 0.66, 0.78, 0.89, 1.0)
NORMAL_QRS_POINTS_MV = (
    (0.0, 0.0, 0.0),
    (-0.10, 0.00, -0.18),
    (0.08, 0.08, -0.42),
    (0.75, 0.45, -0.36),
    (1.20, 0.95, 0.12),
    (0.72, 0.74, 0.62),
    (0.12, 0.28, 0.64),
    (-0.14, 0.02, 0.36),
    (-0.07, -0.04, 0.12),
    (0.0, 0.0, 0.0),
)
"""Septum, left and right free walls, apex, base, every ninth of the QRS."""

T_DIRECTION_MV = (0.27, 0.17, -0.16)
T_OPENING_MV = (0.02, -0.01, 0.05)
U_DIRECTION_MV = (0.012, 0.008, -0.018)
RIGHT_ATRIUM_MV = (0.025, 0.085, -0.070)
LEFT_ATRIUM_MV = (0.065, 0.055, 0.060)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatShape:
    """The loops of one kind of beat; P is None where no atrial wave belongs to the beat."""

    p: Loop | None
    qrs: Loop
    st: Loop
    t: Loop
    u: Loop


def normal_p() -> Loop:
    """Right atrium first, left atrium second, overlapping."""
    moments = np.linspace(0.0, 1.0, 15)
    right = _bell(moments / 0.74)
    left = _bell((moments - 0.26) / 0.74)
    return loop_through(moments, np.outer(right, RIGHT_ATRIUM_MV) + np.outer(left, LEFT_ATRIUM_MV))


def normal_qrs() -> Loop:
    """The adult QRS loop of mean shape."""
    return loop_through(NORMAL_QRS_MOMENTS, NORMAL_QRS_POINTS_MV)


def normal_t() -> Loop:
    """Slow rise, quicker fall, a narrow opening."""
    moments = np.linspace(0.0, 1.0, 21)
    height = moments**3 * (1.0 - moments) ** 2 / (0.6**3 * 0.4**2)
    opening = np.gradient(height, moments) / 3.0
    return loop_through(moments, np.outer(height, T_DIRECTION_MV) + np.outer(opening, T_OPENING_MV))


def normal_u() -> Loop:
    """A small wave after T."""
    moments = np.linspace(0.0, 1.0, 11)
    return loop_through(moments, np.outer(_bell(moments), U_DIRECTION_MV))


def st_plateau(direction_mv: tuple[float, float, float]) -> Loop:
    """Rises at the end of the QRS, holds, and leaves under the T wave."""
    moments = np.linspace(0.0, 1.0, 21)
    rise = _smooth_step(moments / 0.08)
    fall = 1.0 - _smooth_step((moments - 0.30) / 0.60)
    return loop_through(moments, np.outer(rise * fall, direction_mv))


def _bell(moments: FloatArray) -> FloatArray:
    inside = np.clip(moments, 0.0, 1.0)
    height: FloatArray = 16.0 * inside**2 * (1.0 - inside) ** 2
    return height


def _smooth_step(moments: FloatArray) -> FloatArray:
    inside = np.clip(moments, 0.0, 1.0)
    step: FloatArray = inside**2 * (3.0 - 2.0 * inside)
    return step
