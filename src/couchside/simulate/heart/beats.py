"""Draws planned beats as one dipole over time, and notes where each wave begins, peaks and ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.heart.loops import Loop
from couchside.simulate.heart.rhythm import PlannedBeat
from couchside.simulate.heart.traits import Heart
from couchside.simulate.torso import standard_lead_vectors
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visibility:
    """From where on a deflection counts as seen: the larger of a floor and a share of its peak."""

    floor_uv: float
    share: float
    least_peak_uv: float


P_VISIBILITY = Visibility(floor_uv=5.0, share=0.05, least_peak_uv=20.0)
QRS_VISIBILITY = Visibility(floor_uv=10.0, share=0.01, least_peak_uv=20.0)
T_VISIBILITY = Visibility(floor_uv=5.0, share=0.04, least_peak_uv=20.0)
"""A deflection below 20 µV is no wave [CSE1985, from memory]; the rest is set so that the visible
end of T falls where the steepest tangent meets the baseline."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnBeats:
    """The dipole and the truth about it.

    Parameters
    ----------
    dipole_uv : array of shape (3, sample)
        Along Frank's x, y, z.
    beats : tuple of PlannedBeat
        Those whose QRS lies wholly within the recording.
    p, qrs, t : WaveBounds
        Arrays of shape (lead, beat), in samples, NaN where a wave is absent or cut off.
    """

    dipole_uv: FloatArray
    beats: tuple[PlannedBeat, ...]
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Wave:
    loop: Loop
    start_s: float
    length_s: float
    visibility: Visibility | None = None


def draw_beats(
    heart: Heart,
    beats: list[PlannedBeat],
    *,
    sample_count: int,
    rate_hz: float,
    lead_vectors: FloatArray,
) -> DrawnBeats:
    """Draw every beat.

    Parameters
    ----------
    heart : Heart
        Whose loops are drawn.
    beats : list of PlannedBeat
        When.
    sample_count, rate_hz
        The time grid.
    lead_vectors : array of shape (lead, 3)
        Through which the waves are looked at to tell where they begin and end.

    Returns
    -------
    DrawnBeats
    """
    dipole = np.zeros((3, sample_count))
    seen: list[PlannedBeat] = []
    bounds: list[list[FloatArray]] = []
    spans = {
        id(loop): visible_span(loop, visibility) for loop, visibility in _measured_loops(heart)
    }
    for beat in beats:
        waves = _waves_of(heart, beat, spans)
        marks = [_add_wave(dipole, wave, rate_hz, lead_vectors) for wave in waves]
        onset, end = beat.qrs_onset_s, beat.qrs_onset_s + heart.qrs_ms / 1000.0
        if onset >= 0.0 and end * rate_hz <= sample_count - 1:
            seen.append(beat)
            bounds.append(marks[:3])
    return DrawnBeats(
        dipole_uv=dipole,
        beats=tuple(seen),
        p=_stacked(bounds, 0, len(lead_vectors)),
        qrs=_stacked(bounds, 1, len(lead_vectors)),
        t=_stacked(bounds, 2, len(lead_vectors)),
    )


def visible_span(loop: Loop, visibility: Visibility) -> tuple[float, float]:
    """First and last moment, 0 to 1, at which a loop is seen in any of the standard leads."""
    moments = np.linspace(0.0, 1.0, 401)
    leads = np.abs(standard_lead_vectors() @ loop.at(moments))
    threshold = np.maximum(visibility.floor_uv, visibility.share * leads.max(axis=1))
    seen = np.flatnonzero((leads > threshold[:, None]).any(axis=0))
    if seen.size == 0:
        return 0.0, 1.0
    return float(moments[seen[0]]), float(moments[seen[-1]])


def _measured_loops(heart: Heart) -> list[tuple[Loop, Visibility]]:
    shape = heart.shape
    loops = [(shape.qrs, QRS_VISIBILITY), (shape.t, T_VISIBILITY)]
    return loops if shape.p is None else [*loops, (shape.p, P_VISIBILITY)]


def _waves_of(
    heart: Heart, beat: PlannedBeat, spans: dict[int, tuple[float, float]]
) -> list[_Wave | None]:
    shape = heart.shape
    qrs_s = heart.qrs_ms / 1000.0
    qt_s = heart.qtc_ms / 1000.0 * (0.7 * 60.0 / heart.rate_per_min + 0.3 * beat.rr_s) ** (1 / 3)
    qrs = _fitted(shape.qrs, spans[id(shape.qrs)], beat.qrs_onset_s, qrs_s, QRS_VISIBILITY)
    t_start = beat.qrs_onset_s + qrs_s + 0.010
    t_length = (beat.qrs_onset_s + qt_s - t_start) / spans[id(shape.t)][1]
    t = _Wave(loop=shape.t, start_s=t_start, length_s=t_length, visibility=T_VISIBILITY)
    st_start = beat.qrs_onset_s + 0.7 * qrs_s
    st = _Wave(loop=shape.st, start_s=st_start, length_s=t_start + t_length - st_start)
    u = _Wave(loop=shape.u, start_s=t_start + t_length - 0.02, length_s=0.17)
    p = None
    if shape.p is not None and beat.pr_s is not None:
        p_onset = beat.qrs_onset_s - beat.pr_s
        p = _fitted(shape.p, spans[id(shape.p)], p_onset, heart.p_ms / 1000.0, P_VISIBILITY)
    return [p, qrs, t, st, u]


def _fitted(
    loop: Loop, span: tuple[float, float], onset_s: float, visible_s: float, sight: Visibility
) -> _Wave:
    length_s = visible_s / (span[1] - span[0])
    return _Wave(
        loop=loop, start_s=onset_s - span[0] * length_s, length_s=length_s, visibility=sight
    )


def _add_wave(
    dipole: FloatArray, wave: _Wave | None, rate_hz: float, lead_vectors: FloatArray
) -> FloatArray:
    """Add one wave; returns onset, peak and offset for each lead, shape (3, lead)."""
    nowhere = np.full((3, len(lead_vectors)), np.nan)
    if wave is None:
        return nowhere
    first = int(np.ceil(wave.start_s * rate_hz))
    last = int(np.floor((wave.start_s + wave.length_s) * rate_hz))
    samples = np.arange(first, last + 1)
    drawn = wave.loop.at((samples / rate_hz - wave.start_s) / wave.length_s)
    inside = (samples >= 0) & (samples < dipole.shape[1])
    dipole[:, samples[inside]] += drawn[:, inside]
    if wave.visibility is None or not inside.all():
        return nowhere
    return first + _seen_in_leads(np.abs(lead_vectors @ drawn), wave.visibility)


def _seen_in_leads(heights: FloatArray, visibility: Visibility) -> FloatArray:
    peaks = heights.max(axis=1)
    seen = heights > np.maximum(visibility.floor_uv, visibility.share * peaks)[:, None]
    onset = seen.argmax(axis=1)
    offset = seen.shape[1] - 1 - seen[:, ::-1].argmax(axis=1)
    marks = np.array([onset, heights.argmax(axis=1), offset], dtype=np.float64)
    marks[:, peaks < visibility.least_peak_uv] = np.nan
    return marks


def _stacked(bounds: list[list[FloatArray]], wave: int, lead_count: int) -> WaveBounds:
    if not bounds:
        empty = np.zeros((lead_count, 0))
        return WaveBounds(onset=empty, peak=empty, offset=empty)
    table = np.array([marks[wave] for marks in bounds])
    return WaveBounds(onset=table[:, 0].T, peak=table[:, 1].T, offset=table[:, 2].T)
