"""Second moments of a signal's leads, window by window: all that weighing noise needs of it.

The rms of a lead, the covariance of the leads over any windows, and the rms of any weighted sum of
leads follow from them without another look at the samples.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality.windows import window_starts

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LEAST_SHARE = 0.2
"""With less of its samples kept, a window is not weighed by itself (by design)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Selection:
    """Samples that count, in windows of one length.

    Parameters
    ----------
    kept : array of bool, shape (sample,)
        Which samples.
    window_samples : int
        Length of a window; a shorter rest joins the last window.
    counts : array of shape (window,)
        How many they are.
    weighed : array of bool, shape (window,)
        Where they are at least a fifth.
    """

    kept: BoolArray
    window_samples: int
    counts: FloatArray
    weighed: BoolArray

    @classmethod
    def of(cls, kept: BoolArray, window_samples: int) -> Selection:
        """Those that are marked."""
        starts = window_starts(len(kept), window_samples)
        counts = np.add.reduceat(kept.astype(np.float64), starts)
        lengths = np.diff(starts, append=len(kept))
        weighed = counts >= np.maximum(LEAST_SHARE * lengths, 1.0)
        return cls(kept=kept, window_samples=window_samples, counts=counts, weighed=weighed)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moments:
    """Sums over the samples that are kept in each window.

    Parameters
    ----------
    sums : array of shape (window, lead, lead)
        Products of two leads, in µV².
    counts : array of shape (window,)
        How many samples.
    weighed : array of bool, shape (window,)
        Where they are enough.
    """

    sums: FloatArray
    counts: FloatArray
    weighed: BoolArray

    @property
    def rms_uv(self) -> FloatArray:
        """Root mean square of each lead, shape (lead, window); NaN in windows not weighed."""
        return self._as_rms(self.sums.diagonal(axis1=1, axis2=2))

    def rms_of_sums_uv(self, weights: FloatArray) -> FloatArray:
        """The same of weighted sums of the leads, for weights of shape (sum, lead)."""
        return self._as_rms(np.maximum(((weights @ self.sums) * weights).sum(axis=2), 0.0))

    def among(self, rows: Sequence[int]) -> Moments:
        """Those of some leads alone."""
        sums = self.sums[:, rows][:, :, rows]
        return Moments(sums=sums, counts=self.counts, weighed=self.weighed)

    def covariance(self, windows: BoolArray | None = None) -> FloatArray:
        """Mean over some windows, or over all, shape (lead, lead); 0 where no sample is kept."""
        sums, counts = self.sums, self.counts
        if windows is not None:
            sums, counts = sums[windows], counts[windows]
        mean: FloatArray = sums.sum(axis=0) / max(float(counts.sum()), 1.0)
        return mean

    def _as_rms(self, squares: FloatArray) -> FloatArray:
        """Of sums of squares of shape (window, lead)."""
        counts = np.where(self.weighed, np.maximum(self.counts, 1.0), np.nan)
        rms: FloatArray = np.sqrt(squares.T / counts)
        return rms


def measure_moments(signal: FloatArray, selection: Selection) -> Moments:
    """Moments of a signal of shape (lead, sample) over the samples that count."""
    return Moments(
        sums=_sum_products(
            signal * selection.kept, len(selection.counts), selection.window_samples
        ),
        counts=selection.counts,
        weighed=selection.weighed,
    )


def _sum_products(signal: FloatArray, window_count: int, window_samples: int) -> FloatArray:
    even = window_count * window_samples
    windows = signal[:, :even].reshape(len(signal), window_count, window_samples)
    windows = windows.transpose(1, 0, 2)
    sums: FloatArray = windows @ windows.transpose(0, 2, 1)
    rest = signal[:, even:]
    sums[-1] += rest @ rest.T
    return sums
