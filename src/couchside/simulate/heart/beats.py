"""Draws planned beats as one dipole over time, and notes where each wave begins, peaks and ends."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.chance import Chance
from couchside.simulate.heart.loops import Loop
from couchside.simulate.heart.rhythm import BeatKind, Plan, PlannedBeat
from couchside.simulate.heart.shapes import BeatShape
from couchside.simulate.heart.traits import Heart
from couchside.simulate.torso import SOURCE_COUNT, standard_lead_vectors

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_QRS = 1
_BEAT_TO_BEAT = 0.012
_REPOLARISATION_MEMORY = 0.7
_T_AFTER_QRS_S = 0.010
_U_BEFORE_T_END_S = 0.020
_U_S = 0.170
_ST_FROM_SHARE_OF_QRS = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Visibility:
    """From where on a deflection counts as seen: the larger of a floor and a share of its peak."""

    floor_uv: float
    share: float
    least_peak_uv: float


P_VISIBILITY = Visibility(floor_uv=5.0, share=0.05, least_peak_uv=20.0)
QRS_VISIBILITY = Visibility(floor_uv=10.0, share=0.01, least_peak_uv=20.0)
T_VISIBILITY = Visibility(floor_uv=5.0, share=0.06, least_peak_uv=20.0)
"""A deflection below 20 µV is no wave [CSE1985, from memory]; the rest is set so that the visible
end of T falls a few milliseconds after the steepest tangent meets the baseline."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnBeats:
    """The heart's sources and the truth about them.

    Parameters
    ----------
    sources_uv : array of shape (12, sample)
        As `couchside.simulate.torso.electrode_vectors` weighs them.
    beats : tuple of PlannedBeat
        Those whose QRS lies wholly within the recording.
    marks : array of shape (wave, mark, lead, beat)
        P, QRS, T; onset, peak, offset; in samples, NaN where a wave is absent or cut off.
    """

    sources_uv: FloatArray
    beats: tuple[PlannedBeat, ...]
    marks: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Wave:
    loop: Loop
    start_s: float
    length_s: float
    way: Loop | None = None
    visibility: Visibility | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Canvas:
    sources: FloatArray
    rate_hz: float
    lead_vectors: FloatArray
    spans: dict[int, tuple[float, float]] = field(default_factory=dict)

    def span(
        self, loop: Loop, visibility: Visibility, way: Loop | None = None
    ) -> tuple[float, float]:
        """First and last moment at which a loop is seen in any standard lead."""
        if id(loop) not in self.spans:
            self.spans[id(loop)] = _visible_span(loop, visibility, way)
        return self.spans[id(loop)]


def draw_beats(
    heart: Heart,
    plan: Plan,
    *,
    sample_count: int,
    rate_hz: float,
    lead_vectors: FloatArray,
    chance: Chance,
) -> DrawnBeats:
    """Draw every beat of a plan.

    Parameters
    ----------
    heart : Heart
        Whose loops are drawn.
    plan : Plan
        When.
    sample_count, rate_hz
        The time grid.
    lead_vectors : array of shape (lead, 12)
        Through which the waves are looked at to tell where they begin and end.
    chance : Chance
        The stream for what differs from beat to beat.
    """
    canvas = _Canvas(
        sources=np.zeros((SOURCE_COUNT, sample_count)), rate_hz=rate_hz, lead_vectors=lead_vectors
    )
    for onset_s in plan.lone_p_onsets_s:
        _add_wave(canvas, _p_wave(canvas, heart, heart.usual_beat.p, onset_s), 1.0)
    seen: list[PlannedBeat] = []
    marks: list[FloatArray] = []
    for beat in plan.beats:
        beat_marks = _add_beat(canvas, heart, beat, chance)
        if not np.isnan(beat_marks[_QRS]).all():
            seen.append(beat)
            marks.append(beat_marks)
    stacked = np.array(marks).reshape(len(marks), 3, 3, len(lead_vectors))
    return DrawnBeats(
        sources_uv=canvas.sources, beats=tuple(seen), marks=stacked.transpose(1, 2, 3, 0)
    )


def _add_beat(canvas: _Canvas, heart: Heart, beat: PlannedBeat, chance: Chance) -> FloatArray:
    """Draw one beat; its marks, shape (wave, mark, lead)."""
    shape = _shape_of(heart, beat)
    heights = 1.0 + _BEAT_TO_BEAT * chance.normals(2)
    p = None
    if beat.pr_s is not None:
        p = _p_wave(canvas, heart, shape.p, beat.qrs_onset_s - beat.pr_s)
    qrs, st, t, u = _ventricular_waves(canvas, heart, shape, beat)
    marks = [
        _add_wave(canvas, p, 1.0),
        _add_wave(canvas, qrs, float(heights[0])),
        _add_wave(canvas, t, float(heights[1])),
    ]
    _add_wave(canvas, st, 1.0)
    _add_wave(canvas, u, 1.0)
    return np.array(marks)


def _shape_of(heart: Heart, beat: PlannedBeat) -> BeatShape:
    if beat.kind is BeatKind.VENTRICULAR_PREMATURE:
        return heart.ventricular_beat
    return heart.atrial_beat if beat.kind is BeatKind.ATRIAL_PREMATURE else heart.usual_beat


def _p_wave(canvas: _Canvas, heart: Heart, loop: Loop, onset_s: float) -> _Wave:
    first, last = canvas.span(loop, P_VISIBILITY)
    length_s = heart.p_ms / 1000.0 / (last - first)
    return _Wave(
        loop=loop,
        start_s=onset_s - first * length_s,
        length_s=length_s,
        visibility=P_VISIBILITY,
    )


def _ventricular_waves(
    canvas: _Canvas, heart: Heart, shape: BeatShape, beat: PlannedBeat
) -> tuple[_Wave, _Wave, _Wave, _Wave]:
    qrs_s = shape.qrs_ms / 1000.0
    first, last = canvas.span(shape.qrs, QRS_VISIBILITY, shape.qrs_way)
    length_s = qrs_s / (last - first)
    qrs = _Wave(
        loop=shape.qrs,
        start_s=beat.qrs_onset_s - first * length_s,
        length_s=length_s,
        way=shape.qrs_way,
        visibility=QRS_VISIBILITY,
    )
    t_end_s = beat.qrs_onset_s + _qt_s(heart, shape, beat)
    t_start_s = beat.qrs_onset_s + qrs_s + _T_AFTER_QRS_S
    t_length_s = (t_end_s - t_start_s) / canvas.span(shape.t, T_VISIBILITY)[1]
    t = _Wave(loop=shape.t, start_s=t_start_s, length_s=t_length_s, visibility=T_VISIBILITY)
    st_start_s = beat.qrs_onset_s + _ST_FROM_SHARE_OF_QRS * qrs_s
    all_end_s = t_start_s + t_length_s
    st = _Wave(loop=shape.st, start_s=st_start_s, length_s=all_end_s - st_start_s)
    u = _Wave(loop=shape.u, start_s=all_end_s - _U_BEFORE_T_END_S, length_s=_U_S)
    return qrs, st, t, u


def _qt_s(heart: Heart, shape: BeatShape, beat: PlannedBeat) -> float:
    """QT follows the mean RR interval more than the last one [Fridericia1920]."""
    usual_rr_s = 60.0 / heart.rate_per_min
    rr_s = _REPOLARISATION_MEMORY * usual_rr_s + (1.0 - _REPOLARISATION_MEMORY) * beat.rr_s
    longer_ms = max(0.0, shape.qrs_ms - heart.usual_beat.qrs_ms)
    return (heart.qtc_ms * float(np.cbrt(rr_s)) + longer_ms) / 1000.0


def _visible_span(loop: Loop, visibility: Visibility, way: Loop | None) -> tuple[float, float]:
    moments = np.linspace(0.0, 1.0, 401)
    drawn = _sources(loop, way, moments)
    leads = np.abs(standard_lead_vectors()[:, : len(drawn)] @ drawn)
    threshold = np.maximum(visibility.floor_uv, visibility.share * leads.max(axis=1))
    seen = np.flatnonzero((leads > threshold[:, None]).any(axis=0))
    if seen.size < 2:
        return 0.0, 1.0
    return float(moments[seen[0]]), float(moments[seen[-1]])


def _add_wave(canvas: _Canvas, wave: _Wave | None, height: float) -> FloatArray:
    """Add one wave; onset, peak and offset for each lead, shape (mark, lead)."""
    nowhere = np.full((3, len(canvas.lead_vectors)), np.nan)
    if wave is None:
        return nowhere
    first = int(np.ceil(wave.start_s * canvas.rate_hz))
    last = int(np.floor((wave.start_s + wave.length_s) * canvas.rate_hz))
    if last < 0 or first >= canvas.sources.shape[1]:
        return nowhere
    samples = np.arange(first, last + 1)
    moments = (samples / canvas.rate_hz - wave.start_s) / wave.length_s
    drawn = height * _sources(wave.loop, wave.way, moments)
    rows = len(drawn)
    begin, end = max(first, 0), min(last + 1, canvas.sources.shape[1])
    canvas.sources[:rows, begin:end] += drawn[:, begin - first : end - first]
    if wave.visibility is None or end - begin < len(samples):
        return nowhere
    return first + _seen_in_leads(np.abs(canvas.lead_vectors[:, :rows] @ drawn), wave.visibility)


def _sources(loop: Loop, way: Loop | None, moments: FloatArray) -> FloatArray:
    """The dipole, and where it moves also the dipole times its way; (3 or 12, moment)."""
    dipole = loop.at(moments)
    if way is None:
        return dipole
    products = way.at(moments)[:, None, :] * dipole[None, :, :]
    return np.vstack([dipole, products.reshape(9, -1)])


def _seen_in_leads(heights: FloatArray, visibility: Visibility) -> FloatArray:
    """Where each lead crosses its threshold, between samples; shape (mark, lead)."""
    peaks = heights.max(axis=1)
    threshold = np.maximum(visibility.floor_uv, visibility.share * peaks)
    seen = heights > threshold[:, None]
    onset = _crossing(heights, seen.argmax(axis=1), -1, threshold)
    last = seen.shape[1] - 1 - seen[:, ::-1].argmax(axis=1)
    offset = _crossing(heights, last, 1, threshold)
    marks = np.array([onset, heights.argmax(axis=1), offset])
    marks[:, peaks < visibility.least_peak_uv] = np.nan
    return marks


def _crossing(
    heights: FloatArray, seen_at: IntArray, step: int, threshold: FloatArray
) -> FloatArray:
    """Between the outermost sample seen and its unseen neighbour, by a straight line.

    Where the wave's drawing ends at a sample that is still seen, at that sample.
    """
    leads = np.arange(len(heights))
    beside = np.clip(seen_at + step, 0, heights.shape[1] - 1)
    above, below = heights[leads, seen_at], heights[leads, beside]
    rise = np.where(above > below, above - below, 1.0)
    share = np.where(beside == seen_at, 0.0, np.clip((above - threshold) / rise, 0.0, 1.0))
    crossing: FloatArray = seen_at + step * share
    return crossing
