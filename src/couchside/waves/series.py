"""Beats in a row, of 10 s or of a day: when, of which shape, how wide, and what lies between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from couchside.recording import Recording
from couchside.waves.filters import BoolArray
from couchside.waves.model import FloatArray, IntArray, Waves

SILENT_S = 1.0
"""So long without any change in any lead is no heart, but a recording without signal."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatSeries:
    """Beats in order of time.

    Parameters
    ----------
    times_s : array of shape (beat,)
        QRS detection points, in seconds from the start of the recording.
    groups : integer array of shape (beat,)
        Beats of one shape share a number; 0 is the leading group.
    qrs_ms : array of shape (beat,)
        QRS duration over all leads; NaN where its boundaries were not found.
    rr_is_known : bool array of shape (beat - 1,)
        False where the recording holds no signal between two beats, so that beats may be missing.
    """

    times_s: FloatArray
    groups: IntArray
    qrs_ms: FloatArray
    rr_is_known: BoolArray

    def __post_init__(self) -> None:
        for name in ("times_s", "groups", "qrs_ms", "rr_is_known"):
            copied = getattr(self, name).copy()
            copied.setflags(write=False)
            object.__setattr__(self, name, copied)


def series_of(recording: Recording, waves: Waves) -> BeatSeries:
    """The beats of a recording.

    Parameters
    ----------
    recording : Recording
        Tells where there is no signal.
    waves : Waves
        From `delineate` of the same recording.

    Returns
    -------
    BeatSeries
    """
    times_s = waves.beat_samples / waves.rate_hz
    silent_s = find_silent_spans(recording) if (np.diff(times_s) >= SILENT_S).any() else []
    return BeatSeries(
        times_s=times_s,
        groups=waves.beat_groups,
        qrs_ms=measure_qrs_ms(waves),
        rr_is_known=mark_known(times_s, silent_s),
    )


def cut_series(series: BeatSeries, start_s: float, end_s: float) -> BeatSeries:
    """The beats from one second on and before another."""
    kept = np.flatnonzero((series.times_s >= start_s) & (series.times_s < end_s))
    return BeatSeries(
        times_s=series.times_s[kept],
        groups=series.groups[kept],
        qrs_ms=series.qrs_ms[kept],
        rr_is_known=series.rr_is_known[kept[:-1]],
    )


def find_silent_spans(recording: Recording) -> list[tuple[float, float]]:
    """Stretches of a second or more in which no lead holds a sample that differs from the last.

    Returns
    -------
    list of (start, end)
        In seconds of the recording.
    """
    steps = np.diff(recording.microvolts, axis=1)
    still = ((steps == 0) | np.isnan(steps)).all(axis=0)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], still, [False])).astype(np.int8)))
    starts, stops = edges[::2] / recording.rate_hz, edges[1::2] / recording.rate_hz
    return [
        (float(start), float(stop))
        for start, stop in zip(starts, stops, strict=True)
        if stop - start >= SILENT_S
    ]


def measure_qrs_ms(waves: Waves) -> FloatArray:
    """QRS duration of every beat over all leads, shape (beat,); NaN where it was not found."""
    onset, offset = waves.qrs.onset, waves.qrs.offset
    first = np.where(np.isnan(onset), np.inf, onset).min(axis=0, initial=np.inf)
    last = np.where(np.isnan(offset), -np.inf, offset).max(axis=0, initial=-np.inf)
    samples = np.where(np.isfinite(first) & np.isfinite(last), last - first, np.nan)
    duration_ms: FloatArray = samples * 1000.0 / waves.rate_hz
    return duration_ms


def mark_known(times_s: FloatArray, silent_s: Sequence[tuple[float, float]]) -> BoolArray:
    """Whether each RR interval is free of silent stretches, shape (beat - 1,)."""
    known = np.ones(max(times_s.size - 1, 0), dtype=np.bool_)
    for start, end in silent_s:
        known &= ~((times_s[:-1] < end) & (times_s[1:] > start))
    return known
