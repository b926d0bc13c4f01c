"""How uncertain heart rate and axes are, from how the beats of one recording differ.

A change of an interval is held against the half-widths that stand beside the interval. Rate and
axes have no reference to calibrate one with; against an earlier recording none is needed: what
counts is by how much the same heart, recorded once more, would differ by chance alone.
"""

from __future__ import annotations

from math import degrees, hypot

import numpy as np

from couchside.measures import MeasureName
from couchside.measures.axes import (
    AUGMENTED_TO_BIPOLAR,
    AXES,
    WaveSpan,
    find_frontal_weights,
    find_net_uv,
    find_wave_span,
)
from couchside.recording import Recording
from couchside.serial.model import Examined, FloatArray
from couchside.waves import RepresentativeBeat, Waves
from couchside.waves.beats_and_waves import WITHOUT_WANDER
from couchside.waves.filters import band_as_recorded, transform
from couchside.waves.pacing import bridge_spikes, find_spikes

QUANTILE = 0.95
"""Upper end of the middle 90 %, which the half-widths of intervals hold too."""
LEAST_COUNT = 3
"""Fewer beats do not tell how much beats differ."""
TRIMMED_EFFICIENCY = 0.84
"""Of the mean of the middle half, as beats are averaged, against the plain mean, where noise is
normal; a standard result, from memory."""
RATE_WANDER = 0.04
"""By so much of itself the mean rate of ten seconds wanders within a minute beyond what its beats
show, nine times in ten; set on the tuning part of MIT-BIH, three long recordings."""

_ANYWHERE_DEG = 180.0


def find_rate_half_width(waves: Waves) -> float | None:
    """90 % half-width of the heart rate, by the scatter of RR and by how rates wander.

    Parameters
    ----------
    waves : Waves
        Of one recording; all beats count, as for the rate itself.

    Returns
    -------
    float or None
        In beats per minute; None with fewer than three RR intervals.

    Notes
    -----
    The scatter of RR over the root of their number, by Student's t, is what independent RR would
    make; to its square is added that of `RATE_WANDER`, as rates wander slowly. Against either,
    rounding beats to whole samples does nothing.
    """
    rr_s = np.diff(waves.beat_samples) / waves.rate_hz
    if rr_s.size < LEAST_COUNT:
        return None
    mean_s = float(rr_s.mean())
    share = _students_t(rr_s.size) * _standard_error(rr_s) / mean_s
    return hypot(share, RATE_WANDER) * 60.0 / mean_s


def find_axis_half_widths(examined: Examined) -> dict[MeasureName, float | None]:
    """90 % half-widths of the three axes, by how the net areas of the single beats differ.

    Parameters
    ----------
    examined : Examined
        Of whose leading beats the areas are taken.

    Returns
    -------
    dict of MeasureName to float or None
        In degrees, 180 at most; None without the axis, or with fewer than three whole beats.

    Notes
    -----
    The areas of each beat, over the samples of the representative beat and free of wander as it is,
    give a spread across the axis; its standard error by Student's t, over the length of the frontal
    vector, is the half-width: to first order what the arc tangent makes of both areas' errors.
    Breathing, which turns the heart from beat to beat, counts as noise does.
    """
    beat = examined.assessment.waves.representative
    windows = None if beat is None else _cut_beats(examined, beat)
    if beat is None or windows is None or windows.shape[0] < LEAST_COUNT:
        return dict.fromkeys(AXES)
    spans = {name: find_wave_span(name, beat)[0] for name in AXES}
    return {
        name: None if span is None else find_half_width_deg(windows, span)
        for name, span in spans.items()
    }


def find_half_width_deg(windows: FloatArray, span: WaveSpan) -> float:
    """90 % half-width of one axis; `windows` are I and aVF of each beat, (beat, 2, sample)."""
    nets = np.array([find_net_uv(window, span) for window in windows]) * _TO_ONE_SCALE
    mean = nets.mean(axis=0)
    length = float(np.hypot(*mean))
    if length == 0.0:
        return _ANYWHERE_DEG
    across = nets @ np.array([-mean[1], mean[0]]) / length
    error = _standard_error(across) / np.sqrt(TRIMMED_EFFICIENCY)
    return min(degrees(_students_t(across.size) * error / length), _ANYWHERE_DEG)


def _cut_beats(examined: Examined, beat: RepresentativeBeat) -> FloatArray | None:
    """I and aVF of each whole beat of the leading group, shape (beat, 2, sample)."""
    frontal = find_frontal_weights(examined.recording.leads)
    if frontal is None:
        return None
    pair, weights = frontal
    rows = weights @ _without_wander(examined.recording)[pair]
    waves, length = examined.assessment.waves, beat.microvolts.shape[1]
    leading = np.flatnonzero(waves.beat_groups == 0)
    chosen = leading[np.linspace(0, leading.size - 1, beat.beat_count).astype(np.int64)]
    starts = waves.beat_samples[chosen] - beat.fiducial_sample
    whole = starts[(starts >= 0) & (starts <= rows.shape[1] - length)]
    return np.stack([rows[:, start : start + length] for start in whole]) if whole.size else None


def _without_wander(recording: Recording) -> FloatArray:
    """As the representative beat was averaged from it, shape (lead, sample)."""
    spectrum = transform(bridge_spikes(recording, find_spikes(recording)))
    return band_as_recorded(spectrum, WITHOUT_WANDER)


def _standard_error(values: FloatArray) -> float:
    return float(values.std(ddof=1) / np.sqrt(values.size))


def _students_t(count: int) -> float:
    from scipy.special import stdtrit  # noqa: PLC0415 - only a comparison needs it

    return float(stdtrit(count - 1, QUANTILE))


_TO_ONE_SCALE = np.array([1.0, AUGMENTED_TO_BIPOLAR])
"""I and aVF."""
