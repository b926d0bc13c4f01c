"""Amplitudes of P, Q, R, S, R′, S′ and T and the ST level, lead by lead."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from couchside.measures.lead_model import QRS_WAVES, LeadMeasures, LeadWave, StLevel, WaveName
from couchside.measures.qrs_waves import LEAST_WAVE_UV, NO_WAVE, split_qrs
from couchside.waves import RepresentativeBeat, Waves
from couchside.waves.filters import BoolArray
from couchside.waves.model import FloatArray, IntArray

ST_AFTER_J_MS = (0, 20, 40, 60, 80)
NOISE_FACTOR = 3.0
"""A wave stands at least so many times over what averaging left of the noise."""

_NO_SIGNAL = "the lead holds no signal"
_NO_QRS = "the QRS boundaries were not found"
_NO_P = "no P wave was found"
_NO_T = "the end of the T wave was not found"
_BEYOND = "it lies beyond the representative beat"


def measure_leads(waves: Waves) -> tuple[LeadMeasures, ...]:
    """Measure every lead of the representative beat.

    Parameters
    ----------
    waves : Waves
        Of one recording.

    Returns
    -------
    tuple of LeadMeasures
        In the order of the leads; empty where no beat was found. A wave that is absent carries the
        reason, never 0.

    Notes
    -----
    The level just before QRS is 0 in the representative beat. P is measured from the straight line
    between the levels at its onset and at the QRS onset; of a P or T on both sides, the larger
    deflection counts. Q, R and S reach from this lead's own QRS onset to its own end: the
    isoelectric segments before (I) and behind (K) are given beside them. ST levels are read between
    samples on a straight line. Source: [CSE1985], [AHA2007-I].
    """
    beat = waves.representative
    if beat is None:
        return ()
    spans = _qrs_spans(beat)
    noise_uv = _noise_uv(beat)
    least_uv = [max(LEAST_WAVE_UV, NOISE_FACTOR * (noise or 0.0)) for noise in noise_uv]
    p_waves, t_waves = _p_waves(beat, least_uv), _t_waves(beat, least_uv)
    st_levels, heights_uv = _st_levels(beat, spans), _peak_to_peak_uv(beat, spans)
    return tuple(
        LeadMeasures(
            lead=lead,
            waves=(
                p_waves[row],
                *_qrs_waves(beat.microvolts[row], spans[row], beat, least_uv[row]),
                t_waves[row],
            ),
            st=st_levels[row],
            i_segment_ms=_gap_ms(beat.overall.qrs_onset, spans[row].onset, beat),
            k_segment_ms=_gap_ms(spans[row].offset, beat.overall.qrs_offset, beat),
            peak_to_peak_uv=heights_uv[row],
            noise_uv=noise_uv[row],
        )
        for row, lead in enumerate(beat.leads)
    )


@dataclass(frozen=True, slots=True)
class _QrsSpan:
    """One lead's own QRS, or the reason why there is none (and NaN)."""

    onset: float
    offset: float
    reason: str = ""


def _qrs_spans(beat: RepresentativeBeat) -> list[_QrsSpan]:
    """Each lead's own QRS onset and end, within those over all leads."""
    first, last = beat.overall.qrs_onset, beat.overall.qrs_offset
    if not first < last:
        return [_QrsSpan(math.nan, math.nan, _NO_QRS)] * len(beat.leads)
    spans = []
    for onset, offset in zip(beat.qrs.onset.tolist(), beat.qrs.offset.tolist(), strict=True):
        own = _QrsSpan(max(onset, first), min(offset, last))
        spans.append(own if onset < offset else _QrsSpan(math.nan, math.nan, _NO_SIGNAL))
    return spans


def _noise_uv(beat: RepresentativeBeat) -> list[float | None]:
    if beat.beat_count < 2:
        return [None] * len(beat.leads)
    rms: list[float | None] = (beat.residual_rms_uv / math.sqrt(beat.beat_count)).tolist()
    return rms


def _gap_ms(start: float, end: float, beat: RepresentativeBeat) -> float | None:
    gap_ms = (end - start) * 1000.0 / beat.rate_hz
    return gap_ms if math.isfinite(gap_ms) else None


def _qrs_waves(
    samples: FloatArray, span: _QrsSpan, beat: RepresentativeBeat, least_uv: float
) -> tuple[LeadWave, ...]:
    if span.reason:
        return tuple(LeadWave(name=name, reason=span.reason) for name in QRS_WAVES)
    named = split_qrs(samples, span.onset, span.offset, beat.rate_hz, least_uv=least_uv)
    return tuple(named[name] for name in QRS_WAVES)


def _p_waves(beat: RepresentativeBeat, least_uv: list[float]) -> list[LeadWave]:
    onset, end, qrs = beat.overall.p_onset, beat.overall.p_offset, beat.overall.qrs_onset
    places = _places(beat, onset, end)
    if places.size == 0 or not onset < qrs:
        return [LeadWave(name=WaveName.P, reason=_NO_P)] * len(beat.leads)
    start_uv = _values_at(beat, np.array([onset]))
    line_uv = start_uv * (1.0 - (places - onset) / (qrs - onset))
    peaks = _farthest(beat.microvolts[:, places] - line_uv)
    return [_wave(WaveName.P, peak, least) for peak, least in zip(peaks, least_uv, strict=True)]


def _t_waves(beat: RepresentativeBeat, least_uv: list[float]) -> list[LeadWave]:
    if not math.isfinite(beat.overall.t_offset):
        return [LeadWave(name=WaveName.T, reason=_NO_T)] * len(beat.leads)
    places = _places(beat, beat.overall.qrs_onset, beat.overall.t_offset)
    inside = (places >= beat.t.onset[:, None]) & (places <= beat.t.offset[:, None])
    has_t: BoolArray = inside.max(axis=1)
    peaks = _farthest(np.where(inside, beat.microvolts[:, places], 0.0))
    return [
        _wave(WaveName.T, peak, least)
        if is_there
        else LeadWave(name=WaveName.T, reason="no T wave was found in this lead")
        for peak, least, is_there in zip(peaks, least_uv, has_t, strict=True)
    ]


def _wave(name: WaveName, peak_uv: float, least_uv: float) -> LeadWave:
    if abs(peak_uv) < least_uv:
        return LeadWave(name=name, reason=NO_WAVE)
    return LeadWave(name=name, amplitude_uv=peak_uv)


def _farthest(heights: FloatArray) -> list[float]:
    """The value farthest from 0 in each row."""
    high, low = heights.max(axis=1), heights.min(axis=1)
    farthest: list[float] = np.where(high >= -low, high, low).tolist()
    return farthest


def _st_levels(beat: RepresentativeBeat, spans: list[_QrsSpan]) -> list[tuple[StLevel, ...]]:
    last = beat.microvolts.shape[1] - 1
    places = beat.overall.qrs_offset + np.array(ST_AFTER_J_MS) * beat.rate_hz / 1000.0
    is_inside = places <= last
    levels = _values_at(beat, np.where(is_inside, places, 0.0)).tolist()
    return [
        tuple(
            _st_level(after, level, span.reason or ("" if inside else _BEYOND))
            for after, level, inside in zip(ST_AFTER_J_MS, row, is_inside.tolist(), strict=True)
        )
        for row, span in zip(levels, spans, strict=True)
    ]


def _st_level(after_j_ms: int, level_uv: float, reason: str) -> StLevel:
    if reason:
        return StLevel(after_j_ms=after_j_ms, reason=reason)
    return StLevel(after_j_ms=after_j_ms, level_uv=level_uv)


def _peak_to_peak_uv(beat: RepresentativeBeat, spans: list[_QrsSpan]) -> list[float | None]:
    places = _places(beat, beat.overall.qrs_onset, beat.overall.qrs_offset)
    if places.size == 0:
        return [None] * len(spans)
    heights = np.ptp(beat.microvolts[:, places], axis=1).tolist()
    return [None if span.reason else height for span, height in zip(spans, heights, strict=True)]


def _places(beat: RepresentativeBeat, start: float, end: float) -> IntArray:
    """Samples between two boundaries; none where one is absent."""
    if not (math.isfinite(start) and math.isfinite(end)):
        return np.empty(0, dtype=np.int64)
    last = beat.microvolts.shape[1] - 1
    return np.arange(max(math.ceil(start), 0), min(math.floor(end), last) + 1)


def _values_at(beat: RepresentativeBeat, places: FloatArray) -> FloatArray:
    """Each lead at places between samples, on straight lines, shape (lead, place)."""
    last = beat.microvolts.shape[1] - 1
    before = np.clip(np.floor(places), 0, last).astype(np.int64)
    after = np.minimum(before + 1, last)
    share = places - before
    values: FloatArray = (
        beat.microvolts[:, before] * (1.0 - share) + beat.microvolts[:, after] * share
    )
    return values
