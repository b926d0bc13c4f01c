"""Chance that falls the same way for the same seed on every machine.

Every stream is PCG64 fed by a seed sequence of the scenario's seed and the checksum of a purpose
such as ``"rhythm"``, so that a fault added to a scenario leaves every other draw as it was. Only
the raw 64-bit words are used, which NumPy promises to keep [NumPyStreams]; they become numbers here
by plain arithmetic, so that no library's choice of algorithm can change a recording.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

FloatArray = NDArray[np.float64]

_DOUBLE_BITS = 53
_HALVES_IN_A_SUM = 8
_HALF_VARIANCE = (65536.0**2 - 1.0) / 12.0


class Chance:
    """One stream of chance.

    Parameters
    ----------
    seed : int
        0 or more.
    purpose : str
        What the stream is for; another purpose gives an independent stream.
    """

    def __init__(self, seed: int, purpose: str) -> None:
        self._words = np.random.PCG64(np.random.SeedSequence([seed, crc32(purpose.encode())]))

    def uniform(self, low: float, high: float) -> float:
        """One number, evenly spread from `low` up to `high`."""
        return low + (high - low) * float(self.uniforms(1)[0])

    def uniforms(self, count: int) -> FloatArray:
        """Numbers evenly spread between 0 and 1, neither included; shape (count,)."""
        words = self._words.random_raw(count) >> np.uint64(64 - _DOUBLE_BITS)
        numbers: FloatArray = (words.astype(np.float64) + 0.5) * 2.0**-_DOUBLE_BITS
        return numbers

    def normal(self, mean: float, sd: float) -> float:
        """One number from the normal distribution."""
        return mean + sd * float(self.normals(1)[0])

    def normals(self, count: int) -> FloatArray:
        """Numbers from the standard normal distribution, shape (count,)."""
        numbers: FloatArray = ndtri(self.uniforms(count))
        return numbers

    def noise(self, rows: int, columns: int) -> FloatArray:
        """White noise of unit variance, shape (rows, columns).

        Each sample is the sum of eight 16-bit numbers: exact integers, and close enough to normal
        for noise that is filtered afterwards.
        """
        words = self._words.random_raw(rows * columns * 2).astype("<u8")
        halves = words.view("<u2").reshape(rows, columns, _HALVES_IN_A_SUM)
        sums = halves.sum(axis=2, dtype=np.int64)
        centred = sums - 65535 * _HALVES_IN_A_SUM // 2
        scaled: FloatArray = centred / np.sqrt(_HALF_VARIANCE * _HALVES_IN_A_SUM)
        return scaled
