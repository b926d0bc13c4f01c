"""QRS detection over all leads together, each weighed by how far its beats stand out of its noise.

The leads' QRS bands are scaled by their own usual QRS size, squared, weighed and added; a beat is a
peak of that one curve that stands high enough against the beats around it. Thresholds that follow
the signal and the search back over long gaps are those of [Pan1985]; the multi-lead sum follows
the spatial velocity of [AHA2007-I].
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    BoolArray,
    Spectrum,
    band,
    high_pass_gain,
    low_pass_gain,
)
from couchside.waves.model import FloatArray, IntArray

QRS_BAND_HZ = (7.0, 20.0)
SMOOTHING_S = 0.08
REFRACTORY_S = 0.19
"""300 beats/min leave 200 ms from beat to beat."""
T_WAVE_S = 0.36
LEVEL_WINDOW_S = 2.0
THRESHOLD = 0.35
"""Of the level of the beats around; squared amplitudes are compared by their roots."""
SEARCH_BACK_THRESHOLD = 0.18
SEARCH_BACK_GAP = 1.6
"""Times the usual RR interval."""
LEVEL_BEATS = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Detection:
    """Beats over all leads, with the lead weights that found them.

    Parameters
    ----------
    beats : integer array of shape (beat,)
        Samples at the analysis rate.
    qrs_band : array of shape (lead, sample)
        Each lead in the band where QRS stand out, in units of its usual QRS size.
    lead_weights : array of shape (lead,)
        From 0 for a lead without use to 1 for the clearest.
    """

    beats: IntArray
    qrs_band: FloatArray
    lead_weights: FloatArray


def detect_beats(spectrum: Spectrum) -> Detection:
    """Find every QRS.

    Parameters
    ----------
    spectrum : Spectrum
        Of the recording.

    Returns
    -------
    Detection
        With no beats where no lead shows any.
    """
    gain = high_pass_gain(spectrum.frequencies_hz, QRS_BAND_HZ[0]) * low_pass_gain(
        spectrum.frequencies_hz, QRS_BAND_HZ[1]
    )
    qrs_band = band(spectrum, gain)
    scale, weights = weigh_leads(qrs_band, spectrum.usable)
    if not weights.any():
        return Detection(
            beats=np.empty(0, dtype=np.int64),
            qrs_band=np.zeros_like(qrs_band),
            lead_weights=weights,
        )
    qrs_band = qrs_band / scale[:, None]
    beats = _pick_beats(_add_leads(qrs_band, weights))
    return Detection(beats=beats, qrs_band=qrs_band, lead_weights=weights)


def weigh_leads(qrs_band: FloatArray, usable: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Usual QRS size of each lead, and its weight.

    Parameters
    ----------
    qrs_band : array of shape (lead, sample)
        In µV.
    usable : bool array of shape (lead,)
        Leads that may count at all.

    Returns
    -------
    array of shape (lead,)
        Size in µV; 1 where there is none.
    array of shape (lead,)
        Weight, from 0 to 1.
    """
    lead_count, sample_count = qrs_band.shape
    width = min(round(LEVEL_WINDOW_S * ANALYSIS_RATE_HZ), sample_count)
    whole = qrs_band[:, : sample_count // width * width]
    size = np.abs(whole)
    peaks = np.sort(size.reshape(lead_count, -1, width).max(axis=2), axis=1)
    scale = peaks[:, peaks.shape[1] // 2]
    floor = np.median(size[:, ::4], axis=1)
    usable = usable & (scale > MIN_QRS_UV)
    scale = np.where(usable, scale, 1.0)
    clarity = np.where(usable, scale / np.maximum(floor, 0.02 * scale), 0.0)
    weights = np.clip((clarity - 3.0) / 12.0, 0.02, 1.0) ** 2 * usable
    return scale, weights


MIN_QRS_UV = 8.0


def _add_leads(qrs_band: FloatArray, weights: FloatArray) -> FloatArray:
    power = np.asarray((weights / weights.sum()) @ np.square(qrs_band))
    return np.sqrt(smooth(power, round(SMOOTHING_S * ANALYSIS_RATE_HZ)))


def smooth(samples: FloatArray, width: int) -> FloatArray:
    """Moving average over an odd number of samples, shape (sample,), ends repeated."""
    half = width // 2
    padded = np.pad(samples, (half + 1, half), mode="edge")
    total = np.cumsum(padded)
    averaged: FloatArray = (total[2 * half + 1 :] - total[: -2 * half - 1]) / (2 * half + 1)
    return np.maximum(averaged, 0.0)


def _pick_beats(activity: FloatArray) -> IntArray:
    peaks = _find_peaks(activity, round(REFRACTORY_S * ANALYSIS_RATE_HZ))
    heights = activity[peaks]
    level = _usual_height(activity)
    kept = _follow_threshold(peaks, heights, level)
    return peaks[kept]


def _find_peaks(activity: FloatArray, reach: int) -> IntArray:
    """Samples that nothing within reach on either side exceeds."""
    highest = _sliding_maximum(activity, reach)
    peaks = np.flatnonzero((activity >= highest) & (activity > 0))
    if peaks.size == 0:
        return peaks
    first = np.r_[True, np.diff(peaks) > reach]
    return peaks[first]


def _sliding_maximum(samples: FloatArray, reach: int) -> FloatArray:
    """Largest value within reach on either side, in log2(reach) passes."""
    width = 2 * reach + 1
    padded = np.pad(samples, reach, constant_values=-np.inf)
    covered = 1
    while covered < width:
        step = min(covered, width - covered)
        padded = np.maximum(padded[:-step], padded[step:])
        covered += step
    return padded


def _usual_height(activity: FloatArray) -> float:
    width = min(round(LEVEL_WINDOW_S * ANALYSIS_RATE_HZ), activity.shape[0])
    whole = activity[: activity.shape[0] // width * width]
    return float(np.median(whole.reshape(-1, width).max(axis=1)))


def _follow_threshold(peaks: IntArray, heights: FloatArray, level: float) -> IntArray:
    kept: list[int] = []
    recent = [level] * LEVEL_BEATS
    for index, (peak, height) in enumerate(zip(peaks.tolist(), heights.tolist(), strict=True)):
        usual = float(np.median(recent))
        if height < THRESHOLD * usual:
            continue
        near = kept and peak - peaks[kept[-1]] < T_WAVE_S * ANALYSIS_RATE_HZ
        if near and height < 0.5 * heights[kept[-1]]:
            continue
        kept.append(index)
        recent = [*recent[1:], min(height, 2 * usual)]
    return _search_back(peaks, heights, kept, level)


def _search_back(peaks: IntArray, heights: FloatArray, kept: list[int], level: float) -> IntArray:
    if len(kept) < 3:
        return np.array(kept, dtype=np.int64)
    usual_rr = float(np.median(np.diff(peaks[kept])))
    found = list(kept)
    for before, after in pairwise(kept):
        if peaks[after] - peaks[before] < SEARCH_BACK_GAP * usual_rr:
            continue
        between = np.arange(before + 1, after)
        clear = (peaks[between] - peaks[before] > T_WAVE_S * ANALYSIS_RATE_HZ) & (
            peaks[after] - peaks[between] > T_WAVE_S * ANALYSIS_RATE_HZ
        )
        between = between[clear & (heights[between] > SEARCH_BACK_THRESHOLD * level)]
        if between.size:
            found.append(int(between[np.argmax(heights[between])]))
    return np.array(sorted(found), dtype=np.int64)
