"""What the boundary finders hand on: boundaries on the averages of bundles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.model import FloatArray


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
        onset=np.clip(bounds.onset, early, late),
        peak=np.clip(bounds.peak, early, late),
        offset=np.clip(bounds.offset, early, late),
        overall_onset=np.clip(bounds.overall_onset, early[:, 0], late[:, 0]),
        overall_offset=np.clip(bounds.overall_offset, early[:, 0], late[:, 0]),
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
    """Median along the second axis of values without NaN."""
    return _middle_of_sorted(np.sort(values, axis=1))


def _middle_of_sorted(ordered: FloatArray) -> FloatArray:
    count = ordered.shape[1]
    middle: FloatArray = 0.5 * (ordered[:, (count - 1) // 2] + ordered[:, count // 2])
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
    together = np.sqrt(np.einsum("bls,bls,l->bs", curves, curves, lead_weights))
    return np.concatenate((curves, together[:, None, :]), axis=1)


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
    times = np.arange(samples.shape[2])
    start = np.clip(first, 0, samples.shape[2] - 2)[:, :, None]
    end = np.clip(last, start[:, :, 0] + 1, samples.shape[2] - 1)[:, :, None]
    at_start = np.take_along_axis(samples, start.astype(np.int64), axis=2)
    at_end = np.take_along_axis(samples, end.astype(np.int64), axis=2)
    line = at_start + (at_end - at_start) * (times - start) / (end - start)
    inside = (times >= start) & (times <= end)
    peak: FloatArray = np.argmax(np.where(inside, np.abs(samples - line), -1.0), axis=2)
    return peak.astype(np.float64)
