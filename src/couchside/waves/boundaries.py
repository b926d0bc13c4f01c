"""Boundaries of P, QRS and T on an average beat, per lead and over all leads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.filters import ANALYSIS_RATE_HZ, BoolArray, low_pass_gain
from couchside.waves.model import FloatArray

MS = ANALYSIS_RATE_HZ / 1000.0
"""Samples in a millisecond at the analysis rate."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bounds:
    """Onset, peak, offset in samples of the average beat, arrays of shape (lead,); NaN: none."""

    onset: FloatArray
    peak: FloatArray
    offset: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatBounds:
    """All that was found on one average beat."""

    p: Bounds
    qrs: Bounds
    t: Bounds
    overall: tuple[float, float, float, float, float]


def find_bounds(
    microvolts: FloatArray,
    noise_uv: FloatArray,
    usable: BoolArray,
    fiducial: int,
    previous: float,
    following: float,
) -> BeatBounds:
    """Boundaries of one average beat.

    Parameters
    ----------
    microvolts : array of shape (lead, sample)
        At the analysis rate, free of wander.
    noise_uv : array of shape (lead,)
        Rms of what is left of the noise.
    usable : bool array of shape (lead,)
        Leads that hold a signal.
    fiducial : int
        Sample of the QRS detection point.
    previous, following : float
        Usual distance in samples to the beats before and after.
    """
    count = microvolts.shape[0]
    none = np.full(count, np.nan)
    sharp = _low_pass(microvolts, 40.0)
    speed = np.abs(np.gradient(sharp, axis=1)) * usable[:, None]
    scale = speed.max(axis=1, keepdims=True) + 1e-9
    overall_speed = np.sqrt((speed**2).sum(axis=0))
    low, high = fiducial - int(100 * MS), fiducial + int(120 * MS)
    on, off = _threshold_bounds(overall_speed[None], low, high, 0.06)
    onset, offset = _threshold_bounds(speed / scale, low, high, 0.06)
    onset = np.clip(onset, on[0] - 5 * MS, on[0] + 20 * MS)
    offset = np.clip(offset, off[0] - 25 * MS, off[0] + 10 * MS)
    level = sharp[:, max(int(on[0] - 10 * MS), 0) : int(on[0])].mean(axis=1, keepdims=True)
    inside = slice(int(on[0]), int(off[0]))
    qrs_peak = on[0] + np.argmax(np.abs(sharp - level)[:, inside], axis=1)
    qrs = Bounds(
        onset=np.where(usable, onset, np.nan),
        peak=np.where(usable, qrs_peak, np.nan),
        offset=np.where(usable, offset, np.nan),
    )
    smooth = _low_pass(microvolts, 12.0)
    t = _smooth_wave(
        smooth,
        noise_uv,
        usable,
        int(off[0] + 60 * MS),
        int(min(fiducial + 0.75 * following, fiducial + 600 * MS, microvolts.shape[1] - 2)),
        int(off[0] + 10 * MS),
    )
    smooth = _low_pass(microvolts, 20.0)
    start = max(fiducial - 0.45 * previous, fiducial - 320 * MS, 2)
    p = _smooth_wave(
        smooth,
        noise_uv,
        usable,
        int(start),
        int(on[0] - 10 * MS),
        int(start),
        int(on[0]),
    )
    del none
    overall = (
        _early(p.onset),
        _late(p.offset),
        float(on[0]),
        float(off[0]),
        _late(t.offset),
    )
    return BeatBounds(p=p, qrs=qrs, t=t, overall=overall)


def _early(bounds: FloatArray) -> float:
    found = bounds[np.isfinite(bounds)]
    return float(np.quantile(found, 0.2)) if found.size else np.nan


def _late(bounds: FloatArray) -> float:
    found = bounds[np.isfinite(bounds)]
    return float(np.quantile(found, 0.8)) if found.size else np.nan


def _low_pass(microvolts: FloatArray, edge_hz: float) -> FloatArray:
    count = microvolts.shape[1]
    padded = np.pad(microvolts, ((0, 0), (64, 64)), mode="reflect", reflect_type="odd")
    spectrum = np.fft.rfft(padded, axis=1)
    frequencies = np.arange(spectrum.shape[1]) * (ANALYSIS_RATE_HZ / padded.shape[1])
    out = np.fft.irfft(spectrum * low_pass_gain(frequencies, edge_hz), n=padded.shape[1], axis=1)
    return out[:, 64 : 64 + count]


def _threshold_bounds(
    speed: FloatArray, low: int, high: int, share: float
) -> tuple[FloatArray, FloatArray]:
    part = speed[:, low:high]
    quiet = int(12 * MS)
    limit = share * part.max(axis=1, keepdims=True)
    active = part > limit
    quiet_run = np.lib.stride_tricks.sliding_window_view(~active, quiet, axis=1).all(axis=2)
    peak = np.argmax(part, axis=1)
    places = np.arange(quiet_run.shape[1])
    before = np.where(quiet_run & (places + quiet - 1 < peak[:, None]), places, -quiet)
    after = np.where(quiet_run & (places > peak[:, None]), places, part.shape[1])
    return (
        before.max(axis=1) + quiet + low.__float__(),
        after.min(axis=1) + low.__float__(),
    )


def _smooth_wave(
    smooth: FloatArray,
    noise_uv: FloatArray,
    usable: BoolArray,
    low: int,
    high: int,
    edge_low: int,
    edge_high: int | None = None,
) -> Bounds:
    count = smooth.shape[0]
    none = np.full(count, np.nan)
    edge_high = edge_high or min(high + int(60 * MS), smooth.shape[1])
    if high - low < 20 * MS:
        return Bounds(onset=none, peak=none, offset=none)
    part = smooth[:, low:high]
    line = np.linspace(0, 1, high - low)
    chord = part[:, :1] + (part[:, -1:] - part[:, :1]) * line
    size = np.abs(part - chord)
    common = np.sqrt(np.mean(size**2 * usable[:, None], axis=0))
    centre = int(np.argmax(common)) + low
    peak = np.empty(count)
    onset = np.empty(count)
    offset = np.empty(count)
    for lead in range(count):
        near = slice(max(centre - int(40 * MS), low), min(centre + int(40 * MS), high))
        peak[lead] = near.start + np.argmax(size[lead, near.start - low : near.stop - low])
        p = int(peak[lead])
        onset[lead] = _corner(smooth[lead], p, edge_low, -1)
        offset[lead] = _corner(smooth[lead], p, edge_high - 1, 1)
    height = size[np.arange(count), np.clip(peak.astype(int) - low, 0, high - low - 1)]
    there = usable & (height > np.maximum(12.0, 2.5 * noise_uv))
    return Bounds(
        onset=np.where(there, onset, np.nan),
        peak=np.where(there, peak, np.nan),
        offset=np.where(there, offset, np.nan),
    )


def _corner(row: FloatArray, peak: int, far: int, sign: int) -> float:
    limit = far + sign
    t = np.arange(peak, limit, sign)
    if t.size < 4:
        return float(peak)
    x = row[t]
    slope = np.abs(np.diff(x))
    reach = min(int(100 * MS), slope.size)
    steep = int(np.argmax(slope[:reach]))
    after = np.arange(steep, min(steep + int(120 * MS), t.size))
    k = after[-1]
    area = np.abs(x[after] - x[steep]) * (2 * (k + 10) - after - steep)
    return float(t[after[int(np.argmax(area))]])
