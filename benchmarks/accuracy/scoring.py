"""Matching what was found with what the experts marked."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from benchmarks.accuracy.annotated import FloatArray

WINDOW_MS = 150.0
"""A detection within so much of a mark, on either side, is a match [EC57]."""


@dataclass(kw_only=True)
class Score:
    """Matches, misses and false alarms, with the errors of the matches in ms."""

    matched: int = 0
    missed: int = 0
    false: int = 0
    errors_ms: list[float] = field(default_factory=list)

    @property
    def sensitivity(self) -> float:
        """Share of the marks that were found."""
        return self.matched / max(self.matched + self.missed, 1)

    @property
    def predictivity(self) -> float:
        """Share of the detections that are marked."""
        return self.matched / max(self.matched + self.false, 1)

    @property
    def f1(self) -> float:
        """Harmonic mean of the two."""
        return 2 * self.matched / max(2 * self.matched + self.missed + self.false, 1)

    @property
    def mean_ms(self) -> float:
        """Mean error, positive where Couchside is late; NaN without matches."""
        return float(np.mean(self.errors_ms)) if self.errors_ms else np.nan

    @property
    def sd_ms(self) -> float:
        """Standard deviation of the error; NaN without matches."""
        return float(np.std(self.errors_ms)) if self.errors_ms else np.nan

    def add(
        self,
        marks_ms: FloatArray,
        found_ms: FloatArray,
        *,
        span_ms: tuple[float, float],
        half_marked_ms: FloatArray | None = None,
    ) -> None:
        """Match one lead of one recording.

        Parameters
        ----------
        marks_ms, found_ms : arrays
            Times, in any order.
        span_ms : (first, last)
            What lies outside was not annotated, and is no false alarm.
        half_marked_ms : array or None
            Places where a wave was marked without this boundary: a detection within the window
            of one is neither right nor wrong.
        """
        marks, found = np.sort(marks_ms), np.sort(found_ms)
        pairs, spare_marks, spare_found = _pair(marks, found)
        self.matched += len(pairs)
        self.missed += spare_marks
        self.errors_ms += [float(found[second] - marks[first]) for first, second in pairs]
        left = found[spare_found]
        left = left[(left >= span_ms[0]) & (left <= span_ms[1])]
        if half_marked_ms is not None and half_marked_ms.size and left.size:
            distance = np.abs(left[:, None] - half_marked_ms).min(axis=1)
            left = left[distance > WINDOW_MS]
        self.false += left.shape[0]


def _pair(marks: FloatArray, found: FloatArray) -> tuple[list[tuple[int, int]], int, list[int]]:
    """Nearest pairs within the window, each mark and each detection used once."""
    candidates = []
    for place, mark in enumerate(marks):
        first = int(np.searchsorted(found, mark - WINDOW_MS))
        last = int(np.searchsorted(found, mark + WINDOW_MS, side="right"))
        candidates += [(abs(found[other] - mark), place, other) for other in range(first, last)]
    pairs: list[tuple[int, int]] = []
    used_marks: set[int] = set()
    used_found: set[int] = set()
    for _, place, other in sorted(candidates):
        if place not in used_marks and other not in used_found:
            pairs.append((place, other))
            used_marks.add(place)
            used_found.add(other)
    spare_found = [other for other in range(found.shape[0]) if other not in used_found]
    return pairs, marks.shape[0] - len(pairs), spare_found
