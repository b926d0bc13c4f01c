"""Filters put into open recordings, and what is said of recordings as they are."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, filtfilt, firwin, sosfilt, sosfiltfilt

from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.quality.tables import Table, rate
from couchside.quality.over_filtering import measure_fall_db, seems_low_passed
from couchside.quality.signals import prepare_signals
from couchside.quality.undershoot import find_climb
from couchside.recording import Recording
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
Filter = Callable[[FloatArray, float], FloatArray]

EVERY = 4
"""Every fourth recording of the reported half is filtered in every way."""
STEPS_UV = (1.0, 5.0)


def measure_filters(folder: Path) -> list[Table]:
    """How many filters are seen, and how often one is seen in recordings as they are."""
    recordings = list(read_recordings(folder))
    reported = [each for each in recordings if not each.to_fit]
    return [
        _as_they_are(recordings),
        _low_pass_put_in(reported[::EVERY]),
        _high_pass_put_in(reported[::2]),
    ]


def _forward(order: int, edge_hz: float) -> Filter:
    def apply(microvolts: FloatArray, rate_hz: float) -> FloatArray:
        sections = butter(order, edge_hz, fs=rate_hz, output="sos")
        filtered: FloatArray = sosfilt(sections, microvolts)
        return filtered

    return apply


def _both_ways(order: int, edge_hz: float) -> Filter:
    def apply(microvolts: FloatArray, rate_hz: float) -> FloatArray:
        sections = butter(order, edge_hz, fs=rate_hz, output="sos")
        filtered: FloatArray = sosfiltfilt(sections, microvolts)
        return filtered

    return apply


def _steep(microvolts: FloatArray, rate_hz: float) -> FloatArray:
    filtered: FloatArray = filtfilt(firwin(101, 40.0, fs=rate_hz), [1.0], microvolts)
    return filtered


LOW_PASS: Mapping[str, Filter] = {
    "40 Hz, finite response, both ways": _steep,
    "40 Hz, fourth order": _forward(4, 40.0),
    "40 Hz, second order, both ways": _both_ways(2, 40.0),
    "40 Hz, second order": _forward(2, 40.0),
    "40 Hz, first order": _forward(1, 40.0),
    "25 Hz, second order": _forward(2, 25.0),
    "75 Hz, fourth order": _forward(4, 75.0),
    "100 Hz, second order": _forward(2, 100.0),
}


HIGH_PASS: Mapping[str, tuple[int, float]] = {
    "0.5 Hz, first order": (1, 0.5),
    "0.5 Hz, second order": (2, 0.5),
    "0.3 Hz, first order": (1, 0.3),
    "0.15 Hz, first order": (1, 0.15),
    "0.05 Hz, first order": (1, 0.05),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is seen in one recording; `high_pass` None where it cannot be judged."""

    low_pass: bool
    high_pass: bool | None


def _look(recording: Recording) -> Seen:
    waves = delineate(recording)
    signals = prepare_signals(recording, waves)
    climb = find_climb(signals, waves)
    return Seen(
        low_pass=seems_low_passed(signals, measure_fall_db(signals)),
        high_pass=None if climb is None else climb.is_of_a_filter,
    )


def _as_they_are(recordings: Sequence[OpenRecording]) -> Table:
    seen = [(each, _look(each.recording)) for each in recordings]
    rows = []
    for database in ("ludb", "ptbxl", "cinc2020"):
        for half, to_fit in (("chosen on", True), ("reported", False)):
            part = [pair for pair in seen if pair[0].database == database]
            part = [pair for pair in part if pair[0].to_fit == to_fit]
            low = [each.name for each, looked in part if looked.low_pass]
            high = [each.name for each, looked in part if looked.high_pass]
            judged = sum(looked.high_pass is not None for _, looked in part)
            rows.append(
                (
                    f"{database}, {half}",
                    rate(len(low), len(part)),
                    ", ".join(low) or "–",
                    rate(len(high), judged),
                    ", ".join(high) or "–",
                )
            )
    return Table(
        title="Filters seen: recordings as they are",
        about=(
            "What was on when they were recorded is not known. Odd records of LUDB and CinC 2020 "
            "and odd patients of PTB-XL were chosen on. The high-pass filter is judged only where "
            "the heart rests between T and P."
        ),
        columns=("recordings", "low-pass seen", "which", "high-pass seen", "which"),
        rows=tuple(rows),
    )


def _low_pass_put_in(recordings: Sequence[OpenRecording]) -> Table:
    rows = []
    for name, apply in LOW_PASS.items():
        shares = []
        for step_uv in STEPS_UV:
            told = [
                _look(_low_passed(each.recording, apply, step_uv)).low_pass for each in recordings
            ]
            shares.append(rate(sum(told), len(told)))
        rows.append((name, *shares))
    return Table(
        title="Filters seen: low-pass filters put in",
        about=(
            f"Every {EVERY}th recording of the reported half, filtered by Butterworth filters or "
            "one of 101 coefficients, then rounded to steps of 1 or 5 µV. Only filters of about "
            "40 Hz and less are to be told; of the last two the fewer the better."
        ),
        columns=("filter", "steps of 1 µV", "steps of 5 µV"),
        rows=tuple(rows),
    )


def _low_passed(recording: Recording, apply: Filter, step_uv: float) -> Recording:
    filtered = apply(np.nan_to_num(recording.microvolts), recording.rate_hz)
    return replace(recording, microvolts=np.round(filtered / step_uv) * step_uv)


def _high_pass_put_in(recordings: Sequence[OpenRecording]) -> Table:
    rows = []
    for name, (order, edge_hz) in HIGH_PASS.items():
        told = [
            _look(_high_passed(each.recording, order, edge_hz)).high_pass for each in recordings
        ]
        judged = [each for each in told if each is not None]
        rows.append((name, rate(sum(judged), len(judged)), rate(sum(judged), len(told))))
    return Table(
        title="Filters seen: high-pass filters put in",
        about=(
            "Every second recording of the reported half, filtered forward by Butterworth filters "
            "run in over the mirrored recording. Only those of 0.3 Hz and more are to be told."
        ),
        columns=("filter", "seen, of those judged", "seen, of all"),
        rows=tuple(rows),
    )


def _high_passed(recording: Recording, order: int, edge_hz: float) -> Recording:
    sections = butter(order, edge_hz, "high", fs=recording.rate_hz, output="sos")
    signal = np.nan_to_num(recording.microvolts)
    twice = np.concatenate([signal[:, ::-1], signal], axis=1) - signal[:, -1:]
    return replace(recording, microvolts=sosfilt(sections, twice)[:, signal.shape[1] :])
