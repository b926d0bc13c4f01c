"""QRS detection over all leads together, each weighed by how far its beats stand out of its noise.

The leads' QRS bands are scaled by their own usual QRS size, made positive, weighed and added. A
beat is a peak of that one curve that stands high enough against the beats around it. Thresholds
that follow the signal and the search back over long gaps are those of [Pan1985].
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from couchside.waves.clip import clip
from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    SOFT_RATE_HZ,
    BoolArray,
    Passband,
    Spectrum,
    soft_band,
)
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.pick_beats import pick_beats
from couchside.waves.sliding import sliding_mean

QRS_BAND = Passband(above_hz=7.0, below_hz=20.0)
SMOOTHING_S = 0.08
_SMOOTHING_WIDTH = 2 * (round(SMOOTHING_S * SOFT_RATE_HZ) // 2) + 1
"""Odd, so that nothing is moved."""
MIN_QRS_UV = 8.0
"""A lead whose QRS is smaller in that band is taken to hold none."""
_LEVEL_S = 2.0
"""Every such span is taken to hold a beat: 30 beats/min. Slower rhythms have enough spans with."""
LEAST_CLARITY = 6.0
"""Where no lead is clearer there are no beats: noise reaches 5.4, a rhythm of 300/min 7."""
LEAST_S = 0.5
"""In less than this a beat cannot be told from what is around it."""
MOST_OF_SCALE = 1.5
"""One lead counts no more than that of its usual QRS, so that no artefact outshouts the rest."""
_CENTRE_REACH_S = 0.08
_BLOCK_S = 10.0
"""Weights follow a long recording in such blocks."""
_BLOCKS_AROUND = 3
_CLEAR, _MUDDY = 15.0, 3.0
"""Ratio of QRS size to what a lead holds between beats, at which a lead counts fully, and nearly
not at all."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Detection:
    """Beats over all leads, with the lead weights that found them.

    Parameters
    ----------
    beats : array of shape (beat,)
        Samples at `SOFT_RATE_HZ`, with fractions.
    lead_scales_uv : array of shape (lead,)
        Usual QRS size of each lead in the band where QRS stand out; 1 where there is none.
    lead_weights : array of shape (lead,)
        From 0 for a lead without use to 1 for a clear one.
    """

    beats: FloatArray
    lead_scales_uv: FloatArray
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
    size = soft_band(spectrum, QRS_BAND)
    np.abs(size, out=size)
    scales, weights = _weigh_blocks(size, spectrum.usable)
    usual_scales = _usual_where_held(scales)
    beats = np.empty(0)
    if weights.any() and spectrum.sample_count > LEAST_S * ANALYSIS_RATE_HZ:
        activity = _add_leads(size, scales, weights)
        lead_count = int(np.count_nonzero(weights.any(axis=1)))
        beats = _centre(activity, pick_beats(activity, lead_count))
    return Detection(
        beats=beats,
        lead_scales_uv=np.where(usual_scales > 0, usual_scales, 1.0),
        lead_weights=_usual_where_held(weights),
    )


def _weigh_blocks(size: FloatArray, usable: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Usual QRS size of each lead in each block, and its weight there, both (lead, block)."""
    block_count = max(size.shape[1] // round(_BLOCK_S * SOFT_RATE_HZ), 1)
    edges = np.linspace(0, size.shape[1], block_count + 1).astype(np.int64)
    peaks, floors = [], []
    for start, stop in pairwise(edges.tolist()):
        part = size[:, start:stop]
        width = min(round(_LEVEL_S * SOFT_RATE_HZ), stop - start)
        spans = part[:, : part.shape[1] // width * width].reshape(size.shape[0], -1, width)
        peaks.append(np.sort(spans.max(axis=2), axis=1)[:, spans.shape[1] // 2])
        floors.append(median_of_rows(part[:, ::2]))
    scales = _median_around(np.stack(peaks, axis=1))
    floor = np.stack(floors, axis=1)
    holds = usable[:, None] & (scales > MIN_QRS_UV)
    clarity = scales / np.maximum(floor, 1e-3 * scales + 1e-9)
    holds &= clarity.max(axis=0) > LEAST_CLARITY
    rank = clip((clarity - _MUDDY) / (_CLEAR - _MUDDY), 0.02, 1.0) ** 2
    return np.where(holds, scales, 0.0), np.where(holds, rank, 0.0)


def _usual_where_held(values: FloatArray) -> FloatArray:
    """Median over the blocks in which a lead holds a signal, 0 where there is none, (lead,)."""
    if values.shape[1] == 1:
        return values[:, 0]
    usual = [median_of_rows(row[row > 0]) if (row > 0).any() else 0.0 for row in values]
    return np.array(usual, dtype=np.float64)


def _median_around(values: FloatArray) -> FloatArray:
    """Median over the blocks around each, shape (lead, block)."""
    if values.shape[1] == 1:
        return values
    padded = np.pad(
        values,
        ((0, 0), (_BLOCKS_AROUND, _BLOCKS_AROUND)),
        mode="reflect" if values.shape[1] > _BLOCKS_AROUND else "edge",
    )
    views = np.lib.stride_tricks.sliding_window_view(padded, 2 * _BLOCKS_AROUND + 1, axis=1)
    return median_of_rows(views)


def _add_leads(size: FloatArray, scales: FloatArray, weights: FloatArray) -> FloatArray:
    """Weighed mean size over the leads, each in units of its usual QRS."""
    shares = weights / np.maximum(weights.sum(axis=0), 1e-9)
    activity = np.empty(size.shape[1])
    edges = np.linspace(0, size.shape[1], weights.shape[1] + 1).astype(np.int64)
    for block, (start, stop) in enumerate(pairwise(edges.tolist())):
        caps = MOST_OF_SCALE * scales[:, block]
        part = np.minimum(size[:, start:stop], caps[:, None])
        activity[start:stop] = (shares[:, block] / np.maximum(scales[:, block], 1e-9)) @ part
    return sliding_mean(activity, _SMOOTHING_WIDTH)


def _centre(activity: FloatArray, beats: IntArray) -> FloatArray:
    """Each beat moved to the centre of the activity around it.

    Activity may have two tops of nearly one height; which is higher is chance, the centre is not.
    """
    reach, last = round(_CENTRE_REACH_S * SOFT_RATE_HZ), activity.shape[0] - 1
    offsets = np.arange(-reach, reach + 1)
    centres = beats.astype(np.float64)
    for _ in range(2):
        near = np.rint(centres).astype(np.int64)
        around = activity[clip(near[:, None] + offsets, 0, last)]
        shift = (around @ offsets) / np.maximum(around.sum(axis=1), 1e-12)
        centres = clip(near + shift, 0, last)
    return centres
