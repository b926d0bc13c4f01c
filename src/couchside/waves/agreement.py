"""How far the beats of a bundle agree, sample by sample: the mean, and what chance leaves in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.cut_windows import view_windows
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.trim_beats import mean_of_planes, trim_beats

TRIM = 0.2
"""Share of the beats left out at each extreme, so that a burst of noise is no scatter."""
_POOLED_BEATS = 3.0
"""The scatter of a small bundle leans on that of all, as if so many more beats had been seen."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Agreement:
    """What the beats of each bundle have in common.

    Parameters
    ----------
    mean : array of shape (bundle, lead, sample)
        Trimmed mean over the beats.
    chance : array of shape (bundle, sample)
        Power that the scatter of the beats leaves in that mean, all leads weighed and added.
    beats : tuple of list of array of shape (lead, sample)
        What went into the mean of each bundle, beat by beat.
    """

    mean: FloatArray
    chance: FloatArray
    beats: tuple[list[FloatArray], ...]

    def find_likeness(self, bundle: int, place: slice, lead_weights: FloatArray) -> float:
        """How like the others a usual beat of a bundle is at a place.

        Parameters
        ----------
        bundle : int
            Which one.
        place : slice
            Of the window.
        lead_weights : array of shape (lead,)
            How much each lead counts.

        Returns
        -------
        float
            Median over the beats of the correlation, all leads in one, between a beat and the mean
            of the others; 0 where there are no others. A few odd beats leave it as it is.
        """
        windows = [beat[:, place] for beat in self.beats[bundle]]
        if len(windows) < 2:
            return 0.0
        weighed = np.stack(windows) * np.sqrt(lead_weights)[:, None]
        beats = weighed.reshape(len(windows), -1)
        others = beats.sum(axis=0) - beats
        sizes = np.sqrt(np.sum(beats**2, axis=1) * np.sum(others**2, axis=1))
        return float(median_of_rows(np.sum(beats * others, axis=1) / np.maximum(sizes, 1e-9)))


def measure_agreement(
    rows: FloatArray, lead_weights: FloatArray, bundles: list[IntArray], before: int, after: int
) -> Agreement:
    """Trimmed mean around the beats of each bundle, and its sampling variance.

    Parameters
    ----------
    rows : array of shape (lead, sample)
        The recording, in which drifts make no difference (see `bend_rows`).
    lead_weights : array of shape (lead,)
        How much each lead counts.
    bundles : list of integer array
        Detection points of each bundle.
    before, after : int
        Samples to look at on either side of the detection point.

    Returns
    -------
    Agreement
        A bundle of one beat takes its scatter from the others; where there are no others, chance
        is 0.
    """
    means, spreads, windows = [], [], []
    for beats in bundles:
        windows.append(view_windows(rows, beats - before, before + after))
        mean, spread = _trimmed(windows[-1])
        means.append(mean)
        spreads.append(lead_weights @ spread)
    spread, count = np.stack(spreads), np.array([beats.shape[0] for beats in bundles])[:, None]
    freedom = count - 1
    pooled = (freedom * spread).sum(axis=0) / max(int(freedom.sum()), 1)
    variance = (freedom * spread + _POOLED_BEATS * pooled) / (freedom + _POOLED_BEATS)
    return Agreement(mean=np.stack(means), chance=variance / count, beats=tuple(windows))


def _trimmed(windows: list[FloatArray]) -> tuple[FloatArray, FloatArray]:
    """Trimmed mean over beats and the winsorised variance it rests on, each (lead, sample)."""
    count = len(windows)
    cut = int(TRIM * count)
    kept = trim_beats(windows, cut)
    mean = mean_of_planes(kept)
    if count == 1:
        return mean, np.zeros_like(mean)
    winsorised = [kept[0]] * cut + kept + [kept[-1]] * cut
    middle = mean_of_planes(winsorised)
    squares = np.zeros_like(mean)
    for plane in winsorised:
        squares += np.square(plane - middle)
    squares /= (count - 1) * (1.0 - 2.0 * cut / count) ** 2
    return mean, squares
