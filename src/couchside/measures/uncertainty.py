"""How far an interval may be off: from how leads and beats scatter, and from the noise left.

The half-width is a root of a sum of squares of four parts: a constant, the scatter of the leads'
own boundaries, the scatter of the beats, and the noise left in the average. The four weights of
each interval are fitted, and a factor for recordings of one or two leads, in which the outermost
boundary is too often missed; nothing else is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot, inf, isfinite, sqrt

import numpy as np

from couchside.measures.model import Measured, MeasureName
from couchside.measures.uncertainty_weights import FEW_LEADS_FACTORS, WEIGHTS
from couchside.waves import RepresentativeBeat, WaveBounds, Waves
from couchside.waves.filters import BoolArray
from couchside.waves.medians import median_of_rows

LONE_BEAT_NOISE_UV = 25.0
"""Noise of a beat that stands alone, whose own noise nothing tells. A choice of this project."""
LEAST_SIZE_UV = 1.0
FEW_LEADS = 2
MOST_MS: dict[MeasureName, float] = {
    MeasureName.P_DURATION: 40.0,
    MeasureName.PR_INTERVAL: 40.0,
    MeasureName.QRS_DURATION: 40.0,
    MeasureName.QT_INTERVAL: 80.0,
    MeasureName.JT_INTERVAL: 80.0,
}
"""With a wider half-width the value is withheld: it would reach over the whole range of usual
values, 120 to 200 ms for PR. A choice of this project."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """What makes a boundary, or an interval between two, uncertain, ms.

    Parameters
    ----------
    leads_ms : float
        SD of the leads' own boundaries.
    beats_ms : float
        Standard error of where the beats have the wave.
    noise_ms : float
        Noise left in the average over the size of the wave, times its length.
    lead_count : int
        Leads with a signal.
    """

    leads_ms: float
    beats_ms: float
    noise_ms: float
    lead_count: int


_EDGES = {
    MeasureName.P_DURATION: ("p_onset", "p_offset"),
    MeasureName.PR_INTERVAL: ("p_onset", "qrs_onset"),
    MeasureName.QRS_DURATION: ("qrs_onset", "qrs_offset"),
    MeasureName.QT_INTERVAL: ("qrs_onset", "t_offset"),
    MeasureName.JT_INTERVAL: ("qrs_offset", "t_offset"),
}
"""The two boundaries of each interval."""
_WAVES = {edge: edge.split("_")[0] for pair in _EDGES.values() for edge in pair}
"""Whose boundary each is."""


def add_uncertainty(measured: Measured, scatter: Scatter | None) -> Measured:
    """An interval with its 90 % half-width, or withheld where that is too wide.

    Parameters
    ----------
    measured : Measured
        One of the intervals between two boundaries, in ms.
    scatter : Scatter or None
        From `find_scatters` of the same interval.

    Returns
    -------
    Measured
        What had no value is given back as it was.

    Notes
    -----
    What the half-width holds nine times in ten, and how it was fitted, is told in
    ``docs/measures.md``; how often it does, in ``docs/validation.md``.
    """
    if measured.value is None or scatter is None:
        return measured
    half_width_ms = find_half_width(measured.name, scatter)
    if half_width_ms > MOST_MS[measured.name]:
        return replace(measured, value=None, reason=_explain_withheld(measured.name, half_width_ms))
    return replace(measured, uncertainty=half_width_ms)


def find_half_width(name: MeasureName, scatter: Scatter) -> float:
    """90 % half-width of an interval, ms."""
    weights = WEIGHTS[name]
    parts = (1.0, scatter.leads_ms, scatter.beats_ms, scatter.noise_ms)
    squares = ((weight * part) ** 2 for weight, part in zip(weights, parts, strict=True))
    return sqrt(sum(squares)) * (
        FEW_LEADS_FACTORS[name] if scatter.lead_count <= FEW_LEADS else 1.0
    )


Scatters = Mapping[MeasureName, Scatter | None]
"""Of each interval; None without a representative beat, or without one of its boundaries."""


def find_scatters(waves: Waves) -> Scatters:
    """What makes each interval uncertain: both of its boundaries, taken as independent.

    Parameters
    ----------
    waves : Waves
        Of the recording.
    """
    beat = waves.representative
    if beat is None:
        return dict.fromkeys(_EDGES)
    edges = [edge for edge in _WAVES if isfinite(getattr(beat.overall, edge))]
    of_wave = {wave: _wave_scatter(wave, waves, beat) for wave in {_WAVES[edge] for edge in edges}}
    of_edge = {edge: _edge_scatter(edge, of_wave[_WAVES[edge]], beat) for edge in edges}
    return {
        name: _join(of_edge[first], of_edge[second])
        if first in of_edge and second in of_edge
        else None
        for name, (first, second) in _EDGES.items()
    }


def _join(first: Scatter, second: Scatter) -> Scatter:
    """Both boundaries of one interval."""
    return Scatter(
        leads_ms=hypot(first.leads_ms, second.leads_ms),
        beats_ms=hypot(first.beats_ms, second.beats_ms),
        noise_ms=hypot(first.noise_ms, second.noise_ms),
        lead_count=first.lead_count,
    )


def _explain_withheld(name: MeasureName, half_width_ms: float) -> str:
    if not isfinite(half_width_ms):
        return "too uncertain: no lead has both boundaries of its own"
    return (
        f"too uncertain: ± {half_width_ms:.0f} ms, and no value is given beyond "
        f"± {MOST_MS[name]:.0f} ms"
    )


def _wave_scatter(wave: str, waves: Waves, beat: RepresentativeBeat) -> tuple[float, float]:
    """Standard error of the beats, and noise over size, ms: the same for both of its boundaries."""
    to_ms = 1000.0 / beat.rate_hz
    beats_ms = 0.0 if wave == "qrs" else _beat_error(getattr(waves, wave), waves) * to_ms
    return beats_ms, _noise_over_size(getattr(beat, wave), beat) * to_ms


def _edge_scatter(edge: str, of_wave: tuple[float, float], beat: RepresentativeBeat) -> Scatter:
    wave, side = edge.split("_")
    own: list[float] = getattr(getattr(beat, wave), side).tolist()
    known = [place for place in own if isfinite(place)]
    return Scatter(
        leads_ms=_spread(known) * (1000.0 / beat.rate_hz),
        beats_ms=of_wave[0],
        noise_ms=of_wave[1],
        lead_count=len(known),
    )


def _spread(values: list[float]) -> float:
    """SD of a dozen values, for which plain Python is several times faster than an array."""
    if not values:
        return 0.0
    mean = sum(values) / len(values)
    return sqrt(sum((value - mean) ** 2 for value in values) / len(values))


def _beat_error(bounds: WaveBounds, waves: Waves) -> float:
    """Standard error of a wave's place in the beats of the leading group, samples."""
    leading = waves.beat_groups == 0
    places = bounds.peak[:, leading] - waves.beat_samples[leading]
    whole = np.isfinite(places)
    if not whole.any():
        return 0.0
    lead = int(np.argmax(whole.sum(axis=1)))
    known = places[lead, whole[lead]].tolist()
    return _spread(known) / sqrt(len(known))


def _noise_over_size(bounds: WaveBounds, beat: RepresentativeBeat) -> float:
    """Noise left in the average over the size of a wave, times its length in samples."""
    known = np.isfinite(bounds.onset) & np.isfinite(bounds.offset)
    if not known.any():
        return inf
    start = max(int(median_of_rows(bounds.onset[known])), 0)
    stop = max(int(median_of_rows(bounds.offset[known])), start + 1)
    samples = beat.microvolts[known, start : stop + 1]
    if samples.shape[1] == 0:
        return inf
    size_uv = float(np.sqrt(np.mean(np.ptp(samples, axis=1) ** 2)))
    return _noise_left_uv(beat, known) / max(size_uv, LEAST_SIZE_UV) * (stop - start)


def _noise_left_uv(beat: RepresentativeBeat, known: BoolArray) -> float:
    """What averaging left of the noise, rms over the leads; beats less one are free to differ."""
    if beat.beat_count < 2:
        return LONE_BEAT_NOISE_UV
    rms_uv = float(np.sqrt(np.mean(beat.residual_rms_uv[known] ** 2)))
    return rms_uv / sqrt(beat.beat_count - 1)
