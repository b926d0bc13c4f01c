"""The average beat of each group: aligned on the QRS, outlying samples left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.model import FloatArray, IntArray

TRIM = 0.25
"""Share of the beats left out at each extreme, sample by sample."""
MOST_BEATS = 60
"""More beats lower the noise no further than the heart's own variation."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AverageBeat:
    """One group's beat.

    Parameters
    ----------
    microvolts : array of shape (lead, sample)
        The robust mean of the beats.
    residual_rms_uv : array of shape (lead,)
        What single beats differ from it by.
    beat_count : int
        Beats that went into it.
    """

    microvolts: FloatArray
    residual_rms_uv: FloatArray
    beat_count: int


def average_beats(samples: FloatArray, beats: IntArray, before: int, after: int) -> AverageBeat:
    """Trimmed mean of aligned beats.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        In µV, free of wander.
    beats : integer array of shape (beat,)
        Aligned detection points, at least one.
    before, after : int
        Samples to take before and after each.

    Returns
    -------
    AverageBeat
        Each beat enters with its own level removed; beats that the recording cuts off are left
        out where three whole ones remain.
    """
    chosen = _choose_beats(beats, samples.shape[1], before, after)
    places = np.clip(chosen[:, None] + np.arange(-before, after), 0, samples.shape[1] - 1)
    windows = samples[:, places]
    windows -= np.median(windows[:, :, ::8], axis=2, keepdims=True)
    mean = _trimmed_mean(windows)
    residual = windows - mean[:, None, :]
    rms = np.sqrt(np.einsum("lbs,lbs->l", residual, residual) / residual[0].size)
    return AverageBeat(microvolts=mean, residual_rms_uv=rms, beat_count=chosen.shape[0])


def _choose_beats(beats: IntArray, sample_count: int, before: int, after: int) -> IntArray:
    whole = beats[(beats >= before) & (beats + after <= sample_count)]
    chosen = whole if whole.shape[0] >= 3 else beats
    if chosen.shape[0] > MOST_BEATS:
        chosen = chosen[np.linspace(0, chosen.shape[0] - 1, MOST_BEATS).astype(np.int64)]
    return chosen


def _trimmed_mean(windows: FloatArray) -> FloatArray:
    count = windows.shape[1]
    cut = int(TRIM * count)
    if cut:
        windows = np.sort(windows, axis=1)[:, cut : count - cut]
    mean: FloatArray = windows.mean(axis=1)
    return mean
