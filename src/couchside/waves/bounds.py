"""What the boundary finders hand on: boundaries on the averages of bundles."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from couchside.waves.clip import clip
from couchside.waves.model import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BundleBounds:
    """Boundaries of one kind of wave, in milliseconds from the detection point; NaN: none.

    Parameters
    ----------
    onset, peak, offset : arrays of shape (bundle, lead)
    overall_onset, overall_offset : arrays of shape (bundle,)
    """

    onset: FloatArray
    peak: FloatArray
    offset: FloatArray
    overall_onset: FloatArray
    overall_offset: FloatArray


def hold_between(bounds: BundleBounds, first_ms: FloatArray, last_ms: FloatArray) -> BundleBounds:
    """Boundaries moved so that none lies before or after its neighbours' waves.

    Parameters
    ----------
    bounds : BundleBounds
        Of one kind of wave.
    first_ms, last_ms : arrays of shape (bundle,)
        Earliest and latest place, from the detection point.

    Returns
    -------
    BundleBounds
    """
    early, late = first_ms[:, None], np.maximum(first_ms, last_ms)[:, None]
    return BundleBounds(
        onset=clip(bounds.onset, early, late),
        peak=clip(bounds.peak, early, late),
        offset=clip(bounds.offset, early, late),
        overall_onset=clip(bounds.overall_onset, early[:, 0], late[:, 0]),
        overall_offset=clip(bounds.overall_offset, early[:, 0], late[:, 0]),
    )


def median_of_known(values: FloatArray) -> FloatArray:
    """Median along the first axis of what is not NaN; NaN where half or more are NaN."""
    if values.shape[0] == 1:
        only: FloatArray = values[0]
        return only
    ordered = np.sort(values, axis=0)
    known = np.isfinite(values).sum(axis=0)
    low, high = np.maximum(known - 1, 0) // 2, known // 2
    high = np.minimum(high, values.shape[0] - 1)
    picked = [np.take_along_axis(ordered, place[None], axis=0)[0] for place in (low, high)]
    middle: FloatArray = np.where(
        2 * known > values.shape[0], 0.5 * (picked[0] + picked[1]), np.nan
    )
    return middle


def middle_of_rows(values: FloatArray) -> FloatArray:
    """Median along the second axis of values without NaN, shape (bundle,)."""
    return middle_of_sorted(np.sort(values, axis=1)[..., None])[..., 0]


def middle_of_sorted(ordered: FloatArray) -> FloatArray:
    """The same along the last axis but one, of values already in order."""
    count = ordered.shape[-2]
    lower, upper = ordered[..., (count - 1) // 2, :], ordered[..., count // 2, :]
    middle: FloatArray = 0.5 * (lower + upper)
    return middle


def add_all_leads_row(curves: FloatArray, lead_weights: FloatArray) -> FloatArray:
    """Curves with one more row, the root of the weighed sum of their squares.

    Parameters
    ----------
    curves : array of shape (bundle, lead, sample)
        Not negative.
    lead_weights : array of shape (lead,)
        From 0 to 1.

    Returns
    -------
    array of shape (bundle, lead + 1, sample)
    """
    return np.concatenate((curves, add_leads(curves, lead_weights)[:, None, :]), axis=1)


def add_leads(curves: FloatArray, lead_weights: FloatArray) -> FloatArray:
    """That row alone, shape (bundle, sample)."""
    together: FloatArray = np.sqrt(np.einsum("bls,bls,l->bs", curves, curves, lead_weights))
    return together


def find_peaks(samples: FloatArray, first: FloatArray, last: FloatArray) -> FloatArray:
    """Sample of the largest departure from the line between two boundaries.

    Parameters
    ----------
    samples : array of shape (bundle, lead, sample)
        The averages.
    first, last : arrays of shape (bundle, lead)
        The boundaries, in samples.

    Returns
    -------
    array of shape (bundle, lead)
    """
    start = clip(first, 0, samples.shape[2] - 2)[:, :, None]
    end = clip(last, start[:, :, 0] + 1, samples.shape[2] - 1)[:, :, None]
    at_start = read_at(samples, start.astype(np.int64))
    at_end = read_at(samples, end.astype(np.int64))
    earliest, latest = int(start.min()), int(end.max())
    times = np.arange(earliest, latest + 1)
    line = at_start + (at_end - at_start) * (times - start) / (end - start)
    inside = (times >= start) & (times <= end)
    away = np.abs(samples[:, :, earliest : latest + 1] - line)
    peak: FloatArray = (earliest + np.argmax(np.where(inside, away, -1.0), axis=2)).astype(
        np.float64
    )
    return peak


def read_at(rows: FloatArray, places: IntArray) -> FloatArray:
    """Values of each row at places of its own.

    Parameters
    ----------
    rows : array of shape (bundle, row, sample)
        What to read.
    places : integer array of shape (…, bundle, row, place)
        Samples, none beyond the ends.

    Returns
    -------
    array of shape (…, bundle, row, place)

    Notes
    -----
    What `numpy.take_along_axis` does, in a fifth of its time on arrays as small as these.
    """
    return rows.reshape(-1).take(places + _find_row_starts(*rows.shape))


@lru_cache(maxsize=64)
def _find_row_starts(bundles: int, rows: int, count: int) -> IntArray:
    """Where each row begins among all samples one after the other, shape (bundle, row, 1)."""
    return np.arange(0, bundles * rows * count, count).reshape(bundles, rows, 1)
