"""Loops: the path of the heart's dipole while one wave lasts.

A loop is a cubic spline from the zero vector back to the zero vector, so that a wave begins and
ends exactly where it is said to and nowhere shows a corner. Axes are those of Frank: x to the left,
y down, z to the back [Frank1956]; dipoles are in microvolts, as the lead vectors of
`couchside.simulate.torso` expect.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import BSpline, make_interp_spline

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loop:
    """A path of the dipole over the time of one wave.

    Parameters
    ----------
    knots : array of shape (knot,)
        Knots of the cubic spline over 0 … 1, the wave's whole duration.
    coefficients : array of shape (coefficient, 3)
        Its coefficients in µV along x, y, z.
    """

    knots: FloatArray
    coefficients: FloatArray

    def at(self, moments: FloatArray) -> FloatArray:
        """Dipole at moments between 0 and 1, shape (3, moment); zero outside."""
        within = np.minimum(np.maximum(moments, 0.0), 1.0)
        spline = BSpline.construct_fast(self.knots, self.coefficients, 3)
        dipole: FloatArray = spline(within).T
        dipole[:, within != moments] = 0.0
        return dipole

    def turned(self, matrix: FloatArray) -> Loop:
        """The same loop after a rotation or another linear change of space, shape (3, 3)."""
        return Loop(knots=self.knots, coefficients=self.coefficients @ matrix.T)

    def scaled(self, factor: float) -> Loop:
        """The same loop, larger or smaller."""
        return Loop(knots=self.knots, coefficients=self.coefficients * factor)


def loop_through(moments: ArrayLike, points_mv: ArrayLike) -> Loop:
    """The smoothest loop through given points.

    Parameters
    ----------
    moments : array of shape (point,)
        Increasing, the first 0 and the last 1.
    points_mv : array of shape (point, 3)
        Along x, y, z in millivolts; the first and last are zero.

    Returns
    -------
    Loop
        It leaves and reaches the zero vector at rest.
    """
    return path_through(moments, np.asarray(points_mv, dtype=np.float64) * 1000.0)


def path_through(moments: ArrayLike, points: ArrayLike) -> Loop:
    """The smoothest path through given points, at rest at both ends; units as given."""
    spline = make_interp_spline(
        np.asarray(moments), np.asarray(points, dtype=np.float64), k=3, bc_type="clamped"
    )
    return Loop(knots=spline.t, coefficients=spline.c)


def turn_about_back(angle_deg: float) -> FloatArray:
    """Rotation in the frontal plane; a positive angle turns the axis towards the feet."""
    return _rotation(angle_deg, 0, 1)


def turn_about_feet(angle_deg: float) -> FloatArray:
    """Rotation in the horizontal plane; a positive angle turns from the left to the back."""
    return _rotation(angle_deg, 0, 2)


def turn_about_left(angle_deg: float) -> FloatArray:
    """Rotation in the sagittal plane; a positive angle turns from the feet to the back."""
    return _rotation(angle_deg, 1, 2)


def _rotation(angle_deg: float, first: int, second: int) -> FloatArray:
    angle = np.deg2rad(angle_deg)
    matrix = np.eye(3)
    matrix[first, first] = matrix[second, second] = np.cos(angle)
    matrix[first, second] = -np.sin(angle)
    matrix[second, first] = np.sin(angle)
    return matrix
