"""The waves of one normal beat, as loops of the dipole.

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

QRS_MOMENTS = np.array([0.0, 0.11, 0.22, 0.33, 0.44, 0.55, 0.66, 0.78, 0.89, 1.0])
ADULT_QRS_MV = np.array(
    [
        (0.0, 0.0, 0.0),
        (-0.05, 0.00, -0.06),
        (-0.04, 0.07, -0.27),
        (0.62, 0.44, -0.27),
        (1.18, 1.00, 0.20),
        (0.80, 0.83, 0.71),
        (0.18, 0.34, 0.77),
        (-0.10, 0.04, 0.37),
        (-0.03, -0.01, 0.06),
        (0.0, 0.0, 0.0),
    ]
)
"""Septum, left and right free walls, apex, base, every ninth of the QRS."""

NEWBORN_QRS_MV = np.array(
    [
        (0.0, 0.0, 0.0),
        (0.06, 0.02, -0.06),
        (0.32, 0.14, -0.34),
        (0.34, 0.46, -0.72),
        (0.05, 0.74, -0.80),
        (-0.40, 0.64, -0.50),
        (-0.62, 0.34, 0.02),
        (-0.42, 0.05, 0.30),
        (-0.09, -0.02, 0.09),
        (0.0, 0.0, 0.0),
    ]
)
"""The right ventricle still leads: forward and to the right."""

QRS_WAY_CM = np.array(
    [
        (-0.8, 0.0, -0.8),
        (-1.0, 0.0, -0.9),
        (-0.6, 0.3, -1.0),
        (0.3, 0.6, -0.6),
        (1.0, 0.6, 0.1),
        (1.2, 0.2, 0.8),
        (0.8, -0.4, 1.2),
        (0.0, -1.0, 1.2),
        (-0.4, -1.2, 0.9),
        (-0.4, -1.2, 0.8),
    ]
)
"""Where in the heart the front has got to: from the septum over the free wall to the base."""

ADULT_T_MV = np.array((0.27, 0.17, -0.15))
CHILD_T_MV = np.array((0.26, 0.20, 0.13))
T_OPENING_MV = np.array((0.02, -0.01, 0.05))
U_DIRECTION_MV = np.array((0.012, 0.008, -0.018))
RIGHT_ATRIUM_MV = np.array((0.048, 0.056, -0.052))
LEFT_ATRIUM_MV = np.array((0.086, 0.026, 0.036))
EARLY_ST_MV = np.array((0.018, 0.012, -0.030))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatShape:
    """The loops of one kind of beat.

    Parameters
    ----------
    p : Loop
        Atria; drawn only where an atrial wave belongs to the beat.
    qrs, st, t, u : Loop
        Ventricles; the ST segment is a plateau beneath the start of T.
    qrs_way : Loop or None
        Way of the QRS dipole from its usual place, in cm; None where it stays.
    qrs_ms : float
        How long the QRS is seen over all leads.
    """

    p: Loop
    qrs: Loop
    qrs_way: Loop | None
    st: Loop
    t: Loop
    u: Loop
    qrs_ms: float


def p_loop() -> Loop:
    """Right atrium first, left atrium second, overlapping."""
    moments = np.linspace(0.0, 1.0, 15)
    right = _bell(moments / 0.74)
    left = _bell((moments - 0.26) / 0.74)
    return loop_through(moments, np.outer(right, RIGHT_ATRIUM_MV) + np.outer(left, LEFT_ATRIUM_MV))


def t_loop(direction_mv: FloatArray, peak_moment: float) -> Loop:
    """Slow rise, quicker fall, a narrow opening.

    Parameters
    ----------
    direction_mv : array of shape (3,)
        The dipole at the peak.
    peak_moment : float
        When the peak comes, 0.5 to 0.7; the later, the steeper the fall.
    """
    moments = np.linspace(0.0, 1.0, 31)
    rise = 3.0 * peak_moment / (1.0 - peak_moment)
    height = moments**rise * (1.0 - moments) ** 3
    height /= peak_moment**rise * (1.0 - peak_moment) ** 3
    opening = np.gradient(height, moments) / 3.0
    size = np.sqrt((direction_mv**2).sum()) / np.sqrt((ADULT_T_MV**2).sum())
    turn = np.outer(opening, T_OPENING_MV * size)
    return loop_through(moments, np.outer(height, direction_mv) + turn)


def u_loop() -> Loop:
    """A small wave after T."""
    moments = np.linspace(0.0, 1.0, 11)
    return loop_through(moments, np.outer(_bell(moments), U_DIRECTION_MV))


def st_loop(direction_mv: FloatArray) -> Loop:
    """Rises at the end of the QRS, holds, and leaves under the T wave."""
    moments = np.linspace(0.0, 1.0, 31)
    rise = _smooth_step(moments / 0.10)
    fall = 1.0 - _smooth_step((moments - 0.22) / 0.70)
    return loop_through(moments, np.outer(rise * fall, direction_mv))


def _bell(moments: FloatArray) -> FloatArray:
    inside = np.clip(moments, 0.0, 1.0)
    height: FloatArray = 16.0 * inside**2 * (1.0 - inside) ** 2
    return height


def _smooth_step(moments: FloatArray) -> FloatArray:
    inside = np.clip(moments, 0.0, 1.0)
    step: FloatArray = inside**2 * (3.0 - 2.0 * inside)
    return step
