"""Beats of one shape share a group; the leading group is the one with most beats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.cut_windows import cut_windows
from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    SOFT_RATE_HZ,
    BoolArray,
    Passband,
    Spectrum,
    soft_band,
)
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.parabola import refine_top
from couchside.waves.sliding import slide

SHAPE_BAND = Passband(above_hz=2.0, below_hz=30.0)
REACH_S = 0.09
"""On either side of the detection point: holds a wide QRS."""
MAX_LAG_S = 0.03
SAME_SHAPE = 0.9
"""Least correlation over all leads between beats of one group."""
SAMPLE_OF_BEATS = 150
"""Seeds of groups are sought among so many beats, spread over the recording."""
_MOST_TURNS = 3
"""So often the beats are laid upon the mean of those that were alike the last time."""
MOST_GROUPS = 30
"""Beats that are left after so many groups stand alone: in noise each is like no other, and to
compare every one with all would take minutes. A choice of this project."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grouping:
    """Groups of beats, and the beats moved so that those of one group lie upon each other.

    Parameters
    ----------
    groups : integer array of shape (beat,)
        0 is the leading group, then by falling size.
    exact_beats : array of shape (beat,)
        Detection points in fractions of samples at the analysis rate, aligned within each group,
        which as a whole stays where its beats were detected.
    """

    groups: IntArray
    exact_beats: FloatArray

    @property
    def beats(self) -> IntArray:
        """Detection points in whole samples."""
        return np.rint(self.exact_beats).astype(np.int64)


def group_beats(
    spectrum: Spectrum, lead_scales_uv: FloatArray, lead_weights: FloatArray, beats: FloatArray
) -> Grouping:
    """Sort beats by the shape of their QRS over all leads.

    Parameters
    ----------
    spectrum : Spectrum
        Of the recording.
    lead_scales_uv : array of shape (lead,)
        Usual QRS size of each lead.
    lead_weights : array of shape (lead,)
        From `Detection`.
    beats : array of shape (beat,)
        Detection points at `SOFT_RATE_HZ`.

    Returns
    -------
    Grouping
        Empty where there are no beats.
    """
    lag, reach = int(MAX_LAG_S * SOFT_RATE_HZ), int(np.ceil(REACH_S * SOFT_RATE_HZ))
    shape = soft_band(spectrum, SHAPE_BAND)
    near = np.rint(beats).astype(np.int64)
    wide = cut_windows(shape, near - reach - lag, 2 * (reach + lag) + 1)
    wide *= (np.sqrt(lead_weights) / lead_scales_uv)[:, None]
    groups = np.full(beats.shape[0], -1, dtype=np.int64)
    exact = beats.copy()
    number = 0
    while (left := np.flatnonzero(groups < 0)).size and number < MOST_GROUPS:
        members, lags = _find_group(wide[left], lag)
        alike = left[members]
        groups[alike] = number
        aligned = near[alike] + lags[members]
        exact[alike] = aligned + np.mean(beats[alike] - aligned)
        number += 1
    groups[left] = number + np.arange(left.size)
    number += left.size
    order = np.argsort(-np.bincount(groups, minlength=number), kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(order.shape[0])
    exact_beats = exact * (ANALYSIS_RATE_HZ / SOFT_RATE_HZ)
    return Grouping(groups=rank[groups] if number else groups, exact_beats=exact_beats)


def _find_group(wide: FloatArray, lag: int) -> tuple[BoolArray, FloatArray]:
    """Members of the largest group among these beats, and the lags that align them to it."""
    count = wide.shape[0]
    if count == 1:
        return np.array([True]), np.zeros(1)
    sample = np.linspace(0, count - 1, min(count, SAMPLE_OF_BEATS)).astype(np.int64)
    core = wide[sample][:, :, lag:-lag].reshape(sample.shape[0], -1)
    norms = np.linalg.norm(core, axis=1) + 1e-9
    alike = (core @ core.T) / np.outer(norms, norms)
    seed = int(np.argmax((alike > SAME_SHAPE - 0.1).sum(axis=1) + 1e-3 * alike.sum(axis=1)))
    template = wide[sample[seed]][:, lag:-lag]
    energy = _energy_at_lags(wide, template.shape[1])
    members, lags, moves = np.zeros(count, dtype=np.bool_), np.zeros(count), np.zeros(count)
    for _ in range(_MOST_TURNS):
        likeness, lags = _match(wide, energy, template)
        members = likeness > SAME_SHAPE
        before, moves = moves, np.where(members, np.rint(lags), np.nan)
        if not members.any() or np.array_equal(moves, before, equal_nan=True):
            break
        template = _mean_aligned(wide[members], lags[members], lag)
    members[sample[seed]] = True
    return members, lags


def _energy_at_lags(wide: FloatArray, width: int) -> FloatArray:
    """Sum of squares of each beat over so many samples, at every lag, shape (beat, lag)."""
    energy = np.zeros((wide.shape[0], wide.shape[2] + 1))
    np.cumsum(np.einsum("bls,bls->bs", wide, wide), axis=1, out=energy[:, 1:])
    at_lags: FloatArray = energy[:, width:] - energy[:, :-width]
    return at_lags


def _match(
    wide: FloatArray, energy: FloatArray, template: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Best correlation of each beat with the template over all lags, and that lag."""
    lags = energy.shape[1]
    moved = slide(template, lags).reshape(-1, lags)
    product = wide.reshape(wide.shape[0], -1) @ moved
    size = np.linalg.norm(template)
    likeness = product / (np.sqrt(np.maximum(energy, 1e-12)) * size + 1e-12)
    ratio = np.sqrt(energy) / (size + 1e-12)
    likeness = np.where((ratio > 0.5) & (ratio < 2.0), likeness, 0.0)
    best = np.argmax(likeness, axis=1)
    return likeness[np.arange(best.shape[0]), best], refine_top(likeness, best) - lags // 2


def _mean_aligned(wide: FloatArray, lags: FloatArray, lag: int) -> FloatArray:
    width = wide.shape[2] - 2 * lag
    places = np.rint(lags).astype(np.int64)[:, None] + lag + np.arange(width)
    aligned = np.take_along_axis(wide, places[:, None, :], axis=2)
    mean: FloatArray = aligned.mean(axis=0)
    return mean
