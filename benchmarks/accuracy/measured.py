"""The figures: QRS detection, boundaries, intervals over all leads, P waves in fibrillation."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.accuracy.annotated import (
    Annotated,
    FloatArray,
    Mark,
    Part,
    Wave,
    read_fibrillation,
    read_ludb,
    read_mitdb,
    read_qtdb,
    stretch_around_marks,
)
from benchmarks.accuracy.edge_samples import overall_reference
from benchmarks.accuracy.references import ReadOverall, read_without_spread, reference_intervals
from benchmarks.accuracy.scoring import WINDOW_MS, Score
from benchmarks.accuracy.simulated import read_simulated, read_written
from couchside.measures import MeasureName, measure
from couchside.recording import Recording
from couchside.waves import WaveBounds, Waves, delineate

SIDES = ("onset", "offset")
COMPARED = (
    MeasureName.P_DURATION,
    MeasureName.PR_INTERVAL,
    MeasureName.QRS_DURATION,
    MeasureName.QT_INTERVAL,
)
"""For these [IEC60601-2-25] has limits."""
STRETCH_MARGIN_S = 20.0
_SAME_BEAT_MS = 150.0
_LEAST_LEADS = 6


@dataclass(kw_only=True)
class WaveFigures:
    """Every figure of one part of the data."""

    detection: dict[str, Score] = field(default_factory=dict)
    ludb: dict[tuple[Wave, str], Score] = field(default_factory=dict)
    qtdb: dict[tuple[Wave, str], Score] = field(default_factory=dict)
    intervals: dict[MeasureName, list[float]] = field(default_factory=dict)
    without_spread: dict[MeasureName, list[float]] = field(default_factory=dict)
    people: dict[MeasureName, list[float]] = field(default_factory=dict)
    written: dict[MeasureName, list[float]] = field(default_factory=dict)
    fibrillation: dict[str, tuple[int, int, int]] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)


def measure_figures(folder: Path, part: Part) -> WaveFigures:
    """Run Couchside over one part of every annotated database."""
    figures = WaveFigures()
    for annotated in read_ludb(folder, part):
        waves = delineate(annotated.recording)
        _count(figures, "LUDB")
        _score_ludb_beats(figures, annotated, waves)
        add_ludb_boundaries(figures.ludb, annotated, waves)
        _compare(figures.intervals, annotated, waves, overall_reference)
        _compare(figures.without_spread, annotated, waves, read_without_spread)
    for annotated in read_qtdb(folder, part):
        _count(figures, "QT Database")
        _score_best_lead(figures.qtdb, stretch_around_marks(annotated, STRETCH_MARGIN_S))
    for _, recording, beats in read_mitdb(folder, part):
        _count(figures, "MIT-BIH")
        _score_mitdb(figures, recording, beats)
    for annotated in read_simulated(part):
        _compare(figures.people, annotated, delineate(annotated.recording), overall_reference)
    for annotated in read_written(part):
        _compare(figures.written, annotated, delineate(annotated.recording), overall_reference)
    for name, recording, span_ms in read_fibrillation(folder, part):
        count_false_p(figures, name, recording, span_ms)
    return figures


def _count(figures: WaveFigures, name: str) -> None:
    figures.counts[name] = figures.counts.get(name, 0) + 1


def beats_at_ms(waves: Waves) -> FloatArray:
    """Detection points in ms from the start of the recording."""
    return waves.beat_samples.astype(np.float64) * (1000.0 / waves.rate_hz)


def _score_mitdb(figures: WaveFigures, recording: Recording, beats: FloatArray) -> None:
    first = Recording(
        leads=recording.leads[:1],
        microvolts=recording.microvolts[:1],
        rate_hz=recording.rate_hz,
    )
    to_ms = 1000.0 / recording.rate_hz
    for name, one in (("MIT-BIH, first lead", first), ("MIT-BIH, both leads", recording)):
        score = figures.detection.setdefault(name, Score())
        found_ms = beats_at_ms(delineate(one))
        score.add(beats * to_ms, found_ms, span_ms=(0.0, one.duration_s * 1000.0))


def _score_ludb_beats(figures: WaveFigures, annotated: Annotated, waves: Waves) -> None:
    beats_ms = annotated_beats_ms(annotated)
    score = figures.detection.setdefault("LUDB, twelve leads", Score())
    found_ms = beats_at_ms(waves)
    span_ms = (beats_ms[0] - WINDOW_MS, beats_ms[-1] + WINDOW_MS)
    score.add(beats_ms, found_ms, span_ms=span_ms)


def annotated_beats_ms(annotated: Annotated) -> FloatArray:
    """Beats that at least six leads agree on: the median of their QRS peaks."""
    to_ms = 1000.0 / annotated.recording.rate_hz
    peaks: FloatArray = np.sort(
        [mark.peak * to_ms for marks in annotated.marks for mark in marks if mark.wave is Wave.QRS]
    )
    groups = np.split(peaks, np.flatnonzero(np.diff(peaks) > _SAME_BEAT_MS) + 1)
    return np.array([np.median(group) for group in groups if group.shape[0] >= _LEAST_LEADS])


def add_ludb_boundaries(
    scores: dict[tuple[Wave, str], Score], annotated: Annotated, waves: Waves
) -> None:
    """Match every boundary of every lead within the span that the experts marked."""
    to_ms = 1000.0 / annotated.recording.rate_hz
    for lead, marks in enumerate(annotated.marks):
        if not marks:
            continue
        span_ms = _span_ms(marks, to_ms)
        for wave, side, bounds in _boundaries(waves):
            found = getattr(bounds, side)[lead] * to_ms
            mine = [mark for mark in marks if mark.wave is wave]
            places = np.array([getattr(mark, side) for mark in mine]) * to_ms
            peaks = np.array([mark.peak for mark in mine]) * to_ms
            whole = np.isfinite(places)
            scores.setdefault((wave, side), Score()).add(
                places[whole],
                found[np.isfinite(found)],
                span_ms=span_ms,
                half_marked_ms=peaks[~whole],
            )


def _span_ms(marks: tuple[Mark, ...], to_ms: float) -> tuple[float, float]:
    starts = [np.nanmin((mark.onset, mark.peak)) for mark in marks]
    return float(min(starts)) * to_ms, float(max(mark.offset for mark in marks)) * to_ms


def _boundaries(waves: Waves) -> Iterator[tuple[Wave, str, WaveBounds]]:
    for wave, bounds in ((Wave.P, waves.p), (Wave.QRS, waves.qrs), (Wave.T, waves.t)):
        for side in SIDES:
            yield wave, side, bounds


def _score_best_lead(scores: dict[tuple[Wave, str], Score], annotated: Annotated) -> None:
    """The experts looked at both leads at once: the lead nearer to their mark counts."""
    to_ms = 1000.0 / annotated.recording.rate_hz
    waves = delineate(annotated.recording)
    for wave, side, bounds in _boundaries(waves):
        score = scores.setdefault((wave, side), Score())
        found = getattr(bounds, side) * to_ms
        found = found[np.isfinite(found)]
        for mark in annotated.marks[0]:
            place = getattr(mark, side) * to_ms
            if mark.wave is not wave or np.isnan(place):
                continue
            errors = found - place
            if errors.size and np.abs(errors).min() <= WINDOW_MS:
                score.matched += 1
                score.errors_ms.append(float(errors[np.argmin(np.abs(errors))]))
            else:
                score.missed += 1


def _compare(
    errors: dict[MeasureName, list[float]], annotated: Annotated, waves: Waves, read: ReadOverall
) -> None:
    """Measured interval less its reference."""
    measures = measure(annotated.recording, waves)
    for name, reference_ms in reference_intervals(annotated, waves, read).items():
        value = measures.get(name).value
        if value is not None and name in COMPARED:
            errors.setdefault(name, []).append(value - reference_ms)


def count_false_p(
    figures: WaveFigures, name: str, recording: Recording, span_ms: tuple[float, float]
) -> None:
    """Count beats, and beats that were given a P wave in any lead."""
    waves = delineate(recording)
    beats_ms = beats_at_ms(waves)
    inside = (beats_ms >= span_ms[0]) & (beats_ms <= span_ms[1])
    given = np.isfinite(waves.p.peak).any(axis=0) & inside
    records, beats, false = figures.fibrillation.get(name, (0, 0, 0))
    figures.fibrillation[name] = (
        records + 1,
        beats + int(inside.sum()),
        false + int(given.sum()),
    )
