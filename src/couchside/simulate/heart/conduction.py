"""Beats that take another way through the ventricles: bundle branch blocks, early beats, pacing.

Points were laid out after the textbook pictures: in left bundle branch block no septal q, a broad
notched R to the left and a deep S in V1–V2; in right bundle branch block a late slow force forward
and to the right; T and ST against the QRS [from memory].
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.chance import Chance
from couchside.simulate.heart.loops import Loop, loop_through, turn_about_back, turn_about_feet
from couchside.simulate.heart.shapes import BeatShape, st_loop, t_loop

FloatArray = NDArray[np.float64]

_LEFT_BLOCK_MOMENTS = np.array([0.0, 0.10, 0.22, 0.36, 0.48, 0.58, 0.70, 0.82, 0.92, 1.0])
_LEFT_BLOCK_MV = np.array(
    [
        (0.0, 0.0, 0.0),
        (0.15, 0.08, -0.08),
        (0.48, 0.34, 0.26),
        (0.96, 0.56, 0.96),
        (0.90, 0.40, 1.24),
        (0.94, 0.26, 1.28),
        (0.98, 0.12, 1.04),
        (0.54, 0.00, 0.50),
        (0.15, -0.03, 0.14),
        (0.0, 0.0, 0.0),
    ]
)
_LEFT_BLOCK_T_MV = np.array((-0.26, -0.03, -0.34))
_LEFT_BLOCK_ST_MV = np.array((-0.07, -0.02, -0.15))

_LATE_RIGHT_MOMENTS = np.array([0.52, 0.64, 0.78, 0.90, 1.0])
_LATE_RIGHT_MV = np.array(
    [
        (-0.24, 0.02, -0.20),
        (-0.46, 0.03, -0.52),
        (-0.40, 0.02, -0.46),
        (-0.14, 0.00, -0.16),
        (0.0, 0.0, 0.0),
    ]
)
_RIGHT_BLOCK_T_SHIFT_MV = np.array((0.06, 0.0, 0.24))

_WIDE_MOMENTS = np.array([0.0, 0.14, 0.30, 0.46, 0.60, 0.74, 0.88, 1.0])
_WIDE_HEIGHTS = np.array([0.0, 0.18, 0.72, 1.0, 0.86, 0.46, 0.12, 0.0])
_WIDE_SIDE_HEIGHTS = np.array([0.0, 0.26, 0.40, 0.10, -0.22, -0.28, -0.10, 0.0])

LEFT_BLOCK_MS = 150.0
RIGHT_BLOCK_MS = 138.0
VENTRICULAR_MS = 156.0
PACED_MS = 164.0


def left_bundle_branch_block(own: BeatShape, scale: float, qrs_ms: float) -> BeatShape:
    """The beat with the left bundle blocked."""
    return replace(
        own,
        qrs=loop_through(_LEFT_BLOCK_MOMENTS, _LEFT_BLOCK_MV * scale),
        qrs_way=None,
        st=st_loop(_LEFT_BLOCK_ST_MV * scale),
        t=t_loop(_LEFT_BLOCK_T_MV * scale, 0.58),
        qrs_ms=qrs_ms,
    )


def right_bundle_branch_block(
    own: BeatShape, own_points_mv: FloatArray, own_t_mv: FloatArray, qrs_ms: float
) -> BeatShape:
    """The beat with the right bundle blocked: its own first half, then a late slow force.

    Parameters
    ----------
    own : BeatShape
        The beat without the block.
    own_points_mv : array of shape (10, 3)
        The points of its QRS loop at every ninth.
    own_t_mv : array of shape (3,)
        The dipole at the peak of its T.
    qrs_ms : float
        How long the blocked QRS lasts.
    """
    early = np.linspace(0.0, 0.43, 7)
    points = np.vstack([own_points_mv[:7], _LATE_RIGHT_MV])
    return replace(
        own,
        qrs=loop_through(np.concatenate([early, _LATE_RIGHT_MOMENTS]), points),
        qrs_way=None,
        t=t_loop(own_t_mv + _RIGHT_BLOCK_T_SHIFT_MV, 0.62),
        qrs_ms=qrs_ms,
    )


def atrial_beat(usual: BeatShape) -> BeatShape:
    """A beat from low down in the atria: only its P wave is another."""
    return replace(usual, p=usual.p.turned(np.diag((0.9, -0.55, 1.0))))


def ventricular_beat(own: BeatShape, chance: Chance, scale: float) -> BeatShape:
    """A beat that starts in the ventricles themselves, always from the same place in one heart."""
    starts = (
        np.array((0.45, 1.00, 0.75)),  # outflow of the right ventricle: downwards, to the back
        np.array((-0.80, -0.70, -0.80)),  # lower left ventricle: upwards, to the right
        np.array((0.90, -0.65, 0.70)),  # tip of the right ventricle: upwards, to the left
    )
    main = starts[int(chance.uniform(0.0, 3.0))] * 1.15 * scale
    turned = turn_about_back(chance.normal(0.0, 12.0)) @ turn_about_feet(chance.normal(0.0, 12.0))
    return _wide_beat(own, turned @ main, VENTRICULAR_MS)


def paced_beat(own: BeatShape, scale: float, qrs_ms: float) -> BeatShape:
    """A beat paced from the tip of the right ventricle: leftwards, upwards, to the back."""
    return _wide_beat(own, np.array((0.85, -0.85, 0.95)) * scale, qrs_ms)


def _wide_beat(own: BeatShape, main_mv: FloatArray, qrs_ms: float) -> BeatShape:
    side = np.array((main_mv[1], -main_mv[0], 0.4 * main_mv[2]))
    path = np.outer(_WIDE_HEIGHTS, main_mv) + np.outer(_WIDE_SIDE_HEIGHTS, side)
    return replace(
        own,
        qrs=loop_through(_WIDE_MOMENTS, path),
        qrs_way=None,
        st=st_loop(-0.10 * main_mv),
        t=t_loop(-0.34 * main_mv, 0.58),
        qrs_ms=qrs_ms,
    )


def mirrored(shape: BeatShape) -> BeatShape:
    """The beat of a heart that lies as in a mirror."""
    mirror = np.diag((-1.0, 1.0, 1.0))

    def turned(loop: Loop) -> Loop:
        return loop.turned(mirror)

    return replace(
        shape,
        p=turned(shape.p),
        qrs=turned(shape.qrs),
        qrs_way=None if shape.qrs_way is None else turned(shape.qrs_way),
        st=turned(shape.st),
        t=turned(shape.t),
        u=turned(shape.u),
    )
