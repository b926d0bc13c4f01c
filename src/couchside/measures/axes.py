"""Frontal axes of P, QRS and T from the net areas of two limb leads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from couchside.measures.model import Measured, MeasureName
from couchside.recording import Lead
from couchside.waves import RepresentativeBeat, Waves
from couchside.waves.model import FloatArray

AXES = (MeasureName.P_AXIS, MeasureName.QRS_AXIS, MeasureName.T_AXIS)
"""In printing order."""
AUGMENTED_TO_BIPOLAR = 2.0 / math.sqrt(3.0)
"""An augmented lead is so many times too small beside a bipolar one."""
AXIS_METHOD = "net areas in I and aVF, aVF times 2/√3"
NOISE_FACTOR = 3.0
"""An area within three times its own noise points nowhere."""
LEAST_MEAN_UV = 10.0
"""Least mean deflection over the wave, in either component, that points somewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveSpan:
    """From one sample to another, and between which two places the level lies in a straight line.

    Parameters
    ----------
    start, end : int
        First and last sample.
    level : tuple of float
        The two places, in samples.
    """

    start: int
    end: int
    level: tuple[float, float]

    @property
    def sample_count(self) -> int:
        """How many samples it has."""
        return self.end - self.start + 1


def measure_axes(waves: Waves) -> tuple[Measured, ...]:
    """Frontal axes of P, QRS and T of the representative beat.

    Parameters
    ----------
    waves : Waves
        Of one recording; two of the leads I, II, III, aVF are needed, I and aVF being made from
        the others where one is missing.

    Returns
    -------
    tuple of Measured
        In degrees from -180 (excluded) to 180; "indeterminate" is the reason where both net areas
        are within the noise.
    """
    beat = waves.representative
    frontal = None if beat is None else _find_frontal_rows(beat)
    return tuple(_measure_axis(name, beat, frontal) for name in AXES)


def frontal_angle_deg(lead_i: float, lead_avf: float) -> float:
    """Angle of the frontal vector from its components in I and aVF.

    Parameters
    ----------
    lead_i, lead_avf : float
        In any one unit, as recorded.

    Returns
    -------
    float
        Degrees, 0 towards the left, +90 downwards.
    """
    return math.degrees(math.atan2(AUGMENTED_TO_BIPOLAR * lead_avf, lead_i))


_Frontal = tuple[FloatArray, list[float]]
"""Leads I and aVF, shape (2, sample), and the noise of each."""


def _measure_axis(
    name: MeasureName, beat: RepresentativeBeat | None, frontal: _Frontal | None
) -> Measured:
    value, reason = _find_axis(name, beat, frontal)
    return Measured(name=name, value=value, unit="deg", method=AXIS_METHOD, reason=reason)


def _find_axis(
    name: MeasureName, beat: RepresentativeBeat | None, frontal: _Frontal | None
) -> tuple[float | None, str]:
    if beat is None:
        return None, "no beats were found"
    if frontal is None:
        return None, "the limb leads are missing"
    span, reason = find_wave_span(name, beat)
    if span is None:
        return None, reason
    rows, noise_uv = frontal
    net: list[float] = find_net_uv(rows, span).tolist()
    factor = NOISE_FACTOR / math.sqrt(max(beat.beat_count, 1) * span.sample_count)
    if all(
        abs(mean_uv) <= max(factor * noise, LEAST_MEAN_UV)
        for mean_uv, noise in zip(net, noise_uv, strict=True)
    ):
        return None, "indeterminate: the net areas in I and aVF are within the noise"
    return frontal_angle_deg(*net), ""


def find_wave_span(name: MeasureName, beat: RepresentativeBeat) -> tuple[WaveSpan | None, str]:
    """Over which samples the net area of an axis is taken, or why there are none.

    Parameters
    ----------
    name : MeasureName
        One of the three axes.
    beat : RepresentativeBeat
        In whose samples the answer is.
    """
    bounds = beat.overall
    level = (bounds.qrs_onset, bounds.qrs_onset)
    if name is MeasureName.P_AXIS:
        span, reason = (bounds.p_onset, bounds.p_offset), "no P wave was found"
        level = span
    elif name is MeasureName.QRS_AXIS:
        span, reason = (bounds.qrs_onset, bounds.qrs_offset), "the QRS boundaries were not found"
    else:
        span, reason = (bounds.qrs_offset, bounds.t_offset), "the end of the T wave was not found"
    if not (math.isfinite(span[0]) and math.isfinite(span[1])):
        return None, reason
    return WaveSpan(start=round(span[0]), end=round(span[1]), level=level), ""


def find_net_uv(rows: FloatArray, span: WaveSpan) -> FloatArray:
    """Mean deflection of each row over a wave, from its level, µV, shape (row,)."""
    wave = rows[:, span.start : span.end + 1]
    net: FloatArray = wave.mean(axis=1) - _mean_level(rows, span.level)
    return net


def _mean_level(rows: FloatArray, at: tuple[float, float]) -> FloatArray:
    """Mean of a straight line between the rows' values at two places, shape (row,)."""
    last = rows.shape[1] - 1
    first, second = (rows[:, min(max(round(place), 0), last)] for place in at)
    level: FloatArray = 0.5 * (first + second)
    return level


def _find_frontal_rows(beat: RepresentativeBeat) -> _Frontal | None:
    """None with fewer than two limb leads."""
    found = find_frontal_weights(beat.leads)
    if found is None:
        return None
    pair, weights = found
    noise_uv: list[float] = (np.abs(weights) @ beat.residual_rms_uv[pair]).tolist()
    return weights @ beat.microvolts[pair], noise_uv


def find_frontal_weights(leads: Sequence[str]) -> tuple[list[int], FloatArray] | None:
    """Which two rows make I and aVF, and how; other limb leads where one of these is missing.

    Parameters
    ----------
    leads : sequence of str
        The name of each row.

    Returns
    -------
    tuple of list of int and array of shape (2, 2), or None
        The weights times those two rows are I and aVF; None with fewer than two limb leads.
    """
    for pair, weights in _FROM_PAIRS.items():
        if all(lead in leads for lead in pair):
            return [leads.index(lead) for lead in pair], weights
    return None


_FROM_PAIRS: dict[tuple[Lead, Lead], FloatArray] = {
    (Lead.I, Lead.AVF): np.array([[1.0, 0.0], [0.0, 1.0]]),
    (Lead.I, Lead.II): np.array([[1.0, 0.0], [-0.5, 1.0]]),
    (Lead.I, Lead.III): np.array([[1.0, 0.0], [0.5, 1.0]]),
    (Lead.II, Lead.III): np.array([[1.0, -1.0], [0.5, 0.5]]),
}
"""I and aVF from pairs of limb leads [Einthoven1912, Goldberger1942]."""
