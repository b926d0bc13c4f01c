"""Least squares under x ≥ 0 for a handful of unknowns, with one matrix and many right-hand sides.

The active-set method [Lawson1974] on the normal equations, which are made once for a matrix. It
starts from the plain solution rather than from nothing: with one or two unknowns at 0 it ends after
as many small systems. A library's solver would take as long as the check's other sums together to
be imported.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_ROUNDS = 10
"""Times the number of unknowns: more rounds than that come of rounding alone."""
_TOLERANCE = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NonNegativeSystem:
    """A matrix A with independent columns, ready to be solved for many right-hand sides.

    Parameters
    ----------
    matrix : array of shape (equation, unknown)
        A.
    gram : array of shape (unknown, unknown)
        AᵀA.
    """

    matrix: FloatArray
    gram: FloatArray

    @classmethod
    def of(cls, matrix: FloatArray) -> NonNegativeSystem:
        """The system of a matrix."""
        return cls(matrix=matrix, gram=matrix.T @ matrix)

    def solve(self, targets: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The x ≥ 0 that makes ‖A x − b‖ least for each b, and that norm.

        Parameters
        ----------
        targets : array of shape (target, equation)
            One b in each row.

        Returns
        -------
        array of shape (target, unknown), array of shape (target,)
        """
        wanted = targets @ self.matrix
        solutions = np.linalg.solve(self.gram, wanted.T).T.astype(np.float64)
        for row in np.flatnonzero((solutions < 0.0).any(axis=1)):
            start = self._start_inside(wanted[row], solutions[row])
            solutions[row] = self._follow_active_set(wanted[row], start)
        residuals: FloatArray = np.linalg.norm(solutions @ self.matrix.T - targets, axis=1)
        return solutions, residuals

    def _start_inside(self, wanted: FloatArray, x: FloatArray) -> FloatArray:
        """Set what is negative to 0 and solve for the rest, until nothing is negative."""
        free = x > 0.0
        x = self._solve_free(wanted, free)
        while (x < 0.0).any():
            free &= x > 0.0
            x = self._solve_free(wanted, free)
        return x

    def _follow_active_set(self, wanted: FloatArray, x: FloatArray) -> FloatArray:
        """Free the unknown that helps most, step to the new solution, until none helps."""
        free = x > 0.0
        tolerance = _TOLERANCE * float(np.abs(wanted).max())
        for _ in range(_ROUNDS * x.shape[0]):
            pull = np.where(free, 0.0, wanted - self.gram @ x)
            if pull.max(initial=0.0) <= tolerance:
                break
            free[np.argmax(pull)] = True
            x = self._step(wanted, x, free)
        return x

    def _step(self, wanted: FloatArray, x: FloatArray, free: BoolArray) -> FloatArray:
        """Towards the solution for the free unknowns; those that reach 0 on the way stay there."""
        aim = self._solve_free(wanted, free)
        while (blocked := free & (aim <= 0.0)).any():
            way = x[blocked] / np.maximum(x[blocked] - aim[blocked], _SMALLEST)
            x = x + float(way.min()) * (aim - x)
            free &= ~(blocked & (x <= _TOLERANCE * x.max()))
            x = np.where(free, x, 0.0)
            aim = self._solve_free(wanted, free)
        return aim

    def _solve_free(self, wanted: FloatArray, free: BoolArray) -> FloatArray:
        """The plain solution for the free unknowns, the others 0."""
        x = np.zeros(wanted.shape[0])
        if free.any():
            x[free] = np.linalg.solve(self.gram[np.ix_(free, free)], wanted[free])
        return x


_SMALLEST = 1e-300
