"""Beats of a recording too long to be held at once: span by span, joined where spans overlap."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from couchside.errors import InvalidInput
from couchside.recording import Recording
from couchside.waves.delineate import delineate
from couchside.waves.model import FloatArray, IntArray, Waves
from couchside.waves.series import (
    BeatSeries,
    find_silent_spans,
    mark_known,
    measure_qrs_ms,
)

SPAN_S = 300.0
OVERLAP_S = 10.0
"""Beats near the end of a span are taken from the one in which they lie further inside."""

SAME_SHAPE = 0.85
MOST_GROUPS = 64
_BEFORE_S, _AFTER_S, _SHIFT_S = 0.10, 0.10, 0.08
_APART_S = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Span:
    """A stretch of a long recording, and the second at which it begins."""

    start_s: float
    recording: Recording

    @property
    def end_s(self) -> float:
        """The second at which it ends."""
        return self.start_s + self.recording.duration_s


def find_beats_in_spans(spans: Iterable[Span]) -> BeatSeries:
    """Find the beats of a long recording while only one span of it is held.

    Parameters
    ----------
    spans : iterable of Span
        In order of time, of the same leads, each overlapping the one before by about
        `OVERLAP_S`; a span that does not overlap leaves a gap over which no RR interval is known.

    Returns
    -------
    BeatSeries
        As `delineate` finds them in each span. Beats of one shape share a group through the whole
        recording: the mean beat of each span's groups is matched with those found before. More
        than 64 groups are not told apart; further beats join the most similar one.

    Raises
    ------
    InvalidInput
        If the spans are not in order.
    """
    joined = _Joined()
    previous: Span | None = None
    for span in spans:
        if previous is not None and span.start_s <= previous.start_s:
            raise InvalidInput(
                f"a span begins at {span.start_s:g} s, not after the one before it, at "
                f"{previous.start_s:g} s; give them in order of time"
            )
        joined.add(span, previous)
        previous = span
    return joined.finish()


@dataclass(slots=True)
class _Joined:
    """What has been found so far."""

    times_s: list[FloatArray] = field(default_factory=list)
    groups: list[IntArray] = field(default_factory=list)
    qrs_ms: list[FloatArray] = field(default_factory=list)
    silent_s: list[tuple[float, float]] = field(default_factory=list)
    shapes: list[FloatArray] = field(default_factory=list)
    last_s: float = -np.inf

    def add(self, span: Span, previous: Span | None) -> None:
        waves = delineate(span.recording)
        times_s = span.start_s + waves.beat_samples / waves.rate_hz
        begin_s = -np.inf
        if previous is not None:
            begin_s = self._join(span, previous)
        kept = (times_s >= begin_s - _APART_S) & (times_s > self.last_s + _APART_S)
        names = self._name_groups(span.recording, waves)
        self.times_s.append(times_s[kept])
        self.groups.append(names[waves.beat_groups][kept])
        self.qrs_ms.append(measure_qrs_ms(waves)[kept])
        self.last_s = float(times_s[kept][-1]) if kept.any() else self.last_s
        self.silent_s += [
            (span.start_s + start, span.start_s + end)
            for start, end in find_silent_spans(span.recording)
        ]

    def _join(self, span: Span, previous: Span) -> float:
        """Drop what the span before found behind the middle of the overlap; give that middle."""
        if span.start_s > previous.end_s:
            self.silent_s.append((previous.end_s, span.start_s))
            return span.start_s
        middle_s = (span.start_s + previous.end_s) / 2.0
        kept = self.times_s[-1] < middle_s
        self.times_s[-1] = self.times_s[-1][kept]
        self.groups[-1] = self.groups[-1][kept]
        self.qrs_ms[-1] = self.qrs_ms[-1][kept]
        earlier = next((times for times in reversed(self.times_s) if times.size), None)
        self.last_s = float(earlier[-1]) if earlier is not None else -np.inf
        return middle_s

    def _name_groups(self, recording: Recording, waves: Waves) -> IntArray:
        """The number through the whole recording of each of the span's groups."""
        count = int(waves.beat_groups.max(initial=-1)) + 1
        names = np.zeros(max(count, 1), dtype=np.int64)
        for group in range(count):
            beats = waves.beat_samples[waves.beat_groups == group]
            names[group] = self._name_shape(_mean_beat(recording, beats), recording.rate_hz)
        return names

    def _name_shape(self, wide: FloatArray, rate_hz: float) -> int:
        shift = round(_SHIFT_S * rate_hz)
        if self.shapes:
            alike = _likeness(wide, self.shapes, shift)
            best = int(np.argmax(alike))
            if alike[best] >= SAME_SHAPE or len(self.shapes) >= MOST_GROUPS:
                return best
        self.shapes.append(_centred(wide[:, shift : wide.shape[1] - shift]))
        return len(self.shapes) - 1

    def finish(self) -> BeatSeries:
        """Everything in one row, groups numbered by size."""
        if not self.times_s:
            return _empty()
        times_s, groups = np.concatenate(self.times_s), np.concatenate(self.groups)
        counts = np.bincount(groups, minlength=max(len(self.shapes), 1))
        rank = np.empty(counts.size, dtype=np.int64)
        rank[np.argsort(-counts, kind="stable")] = np.arange(counts.size)
        return BeatSeries(
            times_s=times_s,
            groups=rank[groups],
            qrs_ms=np.concatenate(self.qrs_ms),
            rr_is_known=mark_known(times_s, self.silent_s),
        )


def _mean_beat(recording: Recording, beats: IntArray) -> FloatArray:
    """Average of beats with room to shift, shape (lead, sample)."""
    rate_hz = recording.rate_hz
    places = np.arange(
        -round((_BEFORE_S + _SHIFT_S) * rate_hz), round((_AFTER_S + _SHIFT_S) * rate_hz)
    )
    at = np.clip(beats[:, None] + places, 0, recording.sample_count - 1)
    beat: FloatArray = np.nan_to_num(recording.microvolts)[:, at].mean(axis=1)
    return beat


def _centred(beat: FloatArray) -> FloatArray:
    """Each lead with a mean of 0."""
    centred: FloatArray = beat - beat.mean(axis=1, keepdims=True)
    return centred


def _likeness(wide: FloatArray, shapes: list[FloatArray], shift: int) -> FloatArray:
    """Best correlation with each shape over all shifts, where neither is twice the other's size."""
    width = wide.shape[1] - 2 * shift
    views = np.stack([_centred(wide[:, lag : lag + width]) for lag in range(2 * shift + 1)])
    parts = views.reshape(views.shape[0], -1)
    known = np.stack([shape.ravel() for shape in shapes])
    sizes, known_sizes = np.linalg.norm(parts, axis=1), np.linalg.norm(known, axis=1)
    ratio = sizes[:, None] / np.maximum(known_sizes, 1e-9)
    alike = parts @ known.T / np.maximum(np.outer(sizes, known_sizes), 1e-9)
    best: FloatArray = np.where((ratio > 0.5) & (ratio < 2.0), alike, 0.0).max(axis=0)
    return best


def _empty() -> BeatSeries:
    none = np.empty(0)
    return BeatSeries(
        times_s=none,
        groups=np.empty(0, dtype=np.int64),
        qrs_ms=none,
        rr_is_known=np.empty(0, dtype=np.bool_),
    )
