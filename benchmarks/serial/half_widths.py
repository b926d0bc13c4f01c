"""Whether the half-widths of rate and axes hold what the same heart shows moments later."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot
from pathlib import Path

import numpy as np

from benchmarks.accuracy.annotated import Part, read_mitdb
from benchmarks.quality.open_data import find_open_data
from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person
from couchside.measures import MeasureName, measure
from couchside.measures.axes import AXES
from couchside.measures.names import TABLE_NAMES
from couchside.quality import check
from couchside.recording import Recording
from couchside.serial import Examined, compare
from couchside.serial.half_widths import find_rate_half_width
from couchside.waves import delineate

WINDOW_S = 10.0
LATER_S = 60.0
EVERY_S = 120.0


def measure_half_widths(people: list[Person]) -> list[Table]:
    """Rate and axes of the two halves of a recording, and rates a minute apart."""
    halves = list(_compare_halves(people))
    rows = [
        ("two halves of 10 s, PTB-XL", *_row(name, [each[name] for each in halves if name in each]))
        for name in (MeasureName.HEART_RATE, *AXES)
    ]
    folder = find_open_data()
    if folder is not None:
        later = list(_compare_rates(folder))
        rows.append(
            ("10 s, and 10 s a minute later, MIT-BIH", *_row(MeasureName.HEART_RATE, later))
        )
    return [
        Table(
            title="Half-widths of rate and axes",
            about=(
                "Changes between two stretches of one recording, and how many lie within their "
                "stated 90 % half-width. PTB-XL people with odd numbers; of MIT-BIH every other "
                "record, which the wander of rates was not set on. Halves have half the beats of "
                "the recordings that are compared otherwise."
            ),
            columns=("stretches", "what", "held", "median half-width", "90th centile"),
            rows=tuple(rows),
        )
    ]


def _row(name: MeasureName, found: list[tuple[float, float]]) -> tuple[str, ...]:
    widths = [width for _, width in found]
    median, high = np.percentile(widths, (50.0, 90.0)) if widths else (np.nan, np.nan)
    held = sum(abs(change) <= width for change, width in found)
    return TABLE_NAMES[name], rate(held, len(found)), f"{median:.1f}", f"{high:.1f}"


def _compare_halves(people: list[Person]) -> Iterator[dict[MeasureName, tuple[float, float]]]:
    """Change and half-width of what both halves of each reported recording give."""
    for person in people:
        for taken in person.recordings if person.is_reported else ():
            first, second = (_examine(half) for half in _halve(taken.examined.recording))
            yield {
                each.name: (each.change, each.uncertainty)
                for each in compare(second, first).changes
                if each.change is not None and each.uncertainty is not None
            }


def _halve(recording: Recording) -> tuple[Recording, Recording]:
    middle = recording.microvolts.shape[1] // 2
    return _cut(recording, 0, middle), _cut(recording, middle, 2 * middle)


def _cut(recording: Recording, start: int, end: int) -> Recording:
    return replace(recording, microvolts=recording.microvolts[:, start:end])


def _examine(recording: Recording) -> Examined:
    return Examined(recording=recording, assessment=check(recording))


def _compare_rates(folder: Path) -> Iterator[tuple[float, float]]:
    for _, recording, _ in read_mitdb(folder, Part.REPORT):
        for start_s in np.arange(0.0, recording.duration_s - LATER_S - WINDOW_S, EVERY_S):
            now, then = (_find_rate(recording, start_s + late_s) for late_s in (LATER_S, 0.0))
            if now is not None and then is not None:
                yield now[0] - then[0], hypot(now[1], then[1])


def _find_rate(recording: Recording, start_s: float) -> tuple[float, float] | None:
    """Heart rate and its half-width, in beats per minute."""
    start, end = (round(at_s * recording.rate_hz) for at_s in (start_s, start_s + WINDOW_S))
    part = _cut(recording, start, end)
    waves = delineate(part)
    value = measure(part, waves).get(MeasureName.HEART_RATE).value
    width = find_rate_half_width(waves)
    return None if value is None or width is None else (value, width)
