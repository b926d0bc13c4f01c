"""Single beats against the average of their bundle: where a wave stands in each, and whether."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.cut_windows import cut_windows
from couchside.waves.filters import SOFT_RATE_HZ
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.parabola import refine_top
from couchside.waves.sliding import slide

MS = 1000.0 / SOFT_RATE_HZ


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveWindow:
    """What is compared: so much on either side of the wave's middle, moved by so much at most."""

    half_ms: float
    most_lag_ms: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Following:
    """How each beat's wave departs from the average.

    Parameters
    ----------
    lag_ms : array of shape (beat,)
        How much later it stands; NaN where the bundle has no such wave.
    share : array of shape (beat,)
        How much of the average's wave the beat holds at that lag: about 1 where it is there, about
        0 where it is not.
    """

    lag_ms: FloatArray
    share: FloatArray


def follow_waves(
    bends: FloatArray,
    lead_weights: FloatArray,
    beats: IntArray,
    middles: list[tuple[IntArray, float]],
    window: WaveWindow,
) -> Following:
    """Find one wave in every beat.

    Parameters
    ----------
    bends : array of shape (lead, sample)
        The recording at `SOFT_RATE_HZ`, in which drifts make no difference (see `bend_rows`).
    lead_weights : array of shape (lead,)
        How much each lead counts.
    beats : integer array of shape (beat,)
        Detection points at that rate.
    middles : list of (integer array, float)
        For each bundle its beats, and the middle of the wave from the detection point in ms, NaN
        where there is none.
    window : WaveWindow
        What to compare.

    Returns
    -------
    Following
    """
    lag_ms, share = np.full(beats.shape[0], np.nan), np.zeros(beats.shape[0])
    width, most_lag = round(2 * window.half_ms / MS), round(window.most_lag_ms / MS)
    for members, middle_ms in middles:
        if np.isfinite(middle_ms):
            starts = beats[members] + round((middle_ms - window.half_ms) / MS)
            match = _match_average(bends, lead_weights, starts, width, most_lag)
            best = np.argmax(match, axis=1)
            share[members] = match[np.arange(best.shape[0]), best]
            lag_ms[members] = (refine_top(match, best) - most_lag) * MS
    return Following(lag_ms=lag_ms, share=share)


def _match_average(
    bends: FloatArray, lead_weights: FloatArray, starts: IntArray, width: int, most_lag: int
) -> FloatArray:
    """Share of their average that the beats hold, at every lag, shape (beat, lag)."""
    windows = cut_windows(bends, starts - most_lag, width + 2 * most_lag)
    average = windows[:, :, most_lag : most_lag + width].mean(axis=0)
    weighed = average * lead_weights[:, None]
    energy = float(np.einsum("ls,ls->", weighed, average)) + 1e-9
    lags = 2 * most_lag + 1
    moved = slide(weighed, lags).reshape(-1, lags)
    match: FloatArray = windows.reshape(starts.shape[0], -1) @ moved / energy
    return match
