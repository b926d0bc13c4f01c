"""How long the check of one 10 s, 500 Hz, 12-lead recording takes, warm, by stage.

The recordings are simulated, good and bad in turn, so that no stage can live on one lucky case.
Stages are timed one by one on one core and in processor time, so that what else the machine does
adds little to them; the medians tell the usual case, the least of each the undisturbed one. Then
how long the command takes to start and answer, how many recordings a second a batch gets through,
and what a general-purpose toolbox takes for the same beats and boundaries.
"""

from __future__ import annotations

import argparse
import gc
import os
import platform
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import numpy as np

import couchside
from benchmarks.batch import describe_batch, time_batch
from benchmarks.commands import time_check
from benchmarks.toolbox import compare_with_toolbox
from couchside.measures import measure
from couchside.recording import Recording
from couchside.simulate import demo_round, random_scenario, simulate

GOAL_MS = 10.0
LEAST_RUNS = 50
WARM_UP_RUNS = 12
COLD_RUNS = 7
RATE_HZ = 500.0
DURATION_S = 10.0
STEP_UV = 2.5
PEOPLE = 100

READ = "read (WFDB, two files)"
WAVES = "waves: beats and boundaries"
MEASURES = "measures"
QUALITY = "quality: the check less the two above"
CHECK = "whole check"
RENDER = "render to PDF"
COLD_START = "cold start: `couchside check`, a new process"

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Processor time of one stage over all runs."""

    stage: str
    median_ms: float
    least_ms: float
    percentile_95_ms: float
    runs: int


def main(arguments: Sequence[str]) -> int:
    """Print the table; the exit code is 1 where the whole check misses its goal."""
    asked = _parse(arguments)
    cases = _simulate_cases()
    with tempfile.TemporaryDirectory() as folder:
        batch = time_batch(_write_people(Path(folder, "people"), asked.batch))
        _stay_on_one_core()
        paths = [
            write_wfdb(recording, Path(folder, f"case{number}.hea"))
            for number, recording in enumerate(cases)
        ]
        timings = time_stages(paths, asked.runs)
        cold_start, cold_start_s = time_cold_start(paths[0])
    print(_describe_circumstances(len(paths)))
    print(make_table([*timings, cold_start]))
    took_ms = {each.stage: each.median_ms for each in timings}
    met = took_ms[CHECK] <= GOAL_MS
    print(f"Goal for the whole check: {GOAL_MS:g} ms (median); {'met' if met else 'NOT met'}.")
    print(f"The whole check takes {took_ms[CHECK] / took_ms[READ]:.1f} times as long as reading.")
    print(f"`couchside check` answers after {cold_start_s:.2f} s by the clock (median).")
    print(describe_batch(batch))
    print(compare_with_toolbox(cases))
    return 0 if met else 1


def time_stages(paths: Sequence[Path], runs: int) -> list[Timing]:
    """Each stage on one file after the other, warm."""
    for run in range(WARM_UP_RUNS):
        _time_one(paths[run % len(paths)])
    gc.collect()
    gc.disable()
    try:
        times = [_time_one(paths[run % len(paths)]) for run in range(runs)]
    finally:
        gc.enable()
    timings = {stage: _sum_up(stage, (each[stage] for each in times)) for stage in times[0]}
    timings[QUALITY] = replace(timings[QUALITY], least_ms=_find_least_left(timings))
    return list(timings.values())


def _find_least_left(timings: dict[str, Timing]) -> float:
    """Of a difference the least says nothing: chance is in all three; so from the least of each."""
    return timings[CHECK].least_ms - timings[WAVES].least_ms - timings[MEASURES].least_ms


def time_cold_start(path: Path) -> tuple[Timing, float]:
    """The command as a person runs it, interpreter and imports included; and its median by clock.

    The first run, which may still compile modules, is left out.
    """
    taken = [time_check(path) for _ in range(COLD_RUNS + 1)][1:]
    timing = _sum_up(COLD_START, (each.processor_ms for each in taken))
    return timing, float(np.median([each.clock_s for each in taken]))


def make_table(timings: Iterable[Timing]) -> str:
    """The timings as a Markdown table."""
    rows = [
        f"| {each.stage} | {each.median_ms:.1f} | {each.least_ms:.1f} | "
        f"{each.percentile_95_ms:.1f} | {each.runs} |"
        for each in timings
    ]
    head = [
        "| stage | median, ms | least, ms | 95th percentile, ms | runs |",
        "|---|---:|---:|---:|---:|",
    ]
    return "\n".join([*head, *rows])


def write_wfdb(recording: Recording, header: Path) -> Path:
    """Write a recording as a WFDB record in format 16, and give the header's path back."""
    data = header.with_suffix(".dat")
    steps = np.round(recording.microvolts / STEP_UV).astype("<i2")
    data.write_bytes(steps.T.tobytes())
    gain = 1000.0 / STEP_UV
    lines = [f"{header.stem} {len(recording.leads)} {recording.rate_hz:g} {recording.sample_count}"]
    lines += [
        f"{data.name} 16 {gain:g}(0)/mV 16 0 {row[0]} {row.sum(dtype=np.int16)} 0 {lead}"
        for lead, row in zip(recording.leads, steps, strict=True)
    ]
    header.write_text("\n".join(lines) + "\n")
    return header


def _time_one(path: Path) -> dict[str, float]:
    read_ms, recording = _take_time(lambda: couchside.read(path))
    delineate_ms, waves = _take_time(lambda: couchside.delineate(recording))
    measure_ms, _ = _take_time(lambda: measure(recording, waves))
    check_ms, assessment = _take_time(lambda: couchside.check(recording))
    render_ms, _ = _take_time(lambda: couchside.render(recording, assessment).pdf())
    return {
        READ: read_ms,
        WAVES: delineate_ms,
        MEASURES: measure_ms,
        QUALITY: check_ms - delineate_ms - measure_ms,
        CHECK: check_ms,
        RENDER: render_ms,
    }


def _take_time(work: Callable[[], Result]) -> tuple[float, Result]:
    start = time.process_time()
    result = work()
    return 1000.0 * (time.process_time() - start), result


def _sum_up(stage: str, times_ms: Iterable[float]) -> Timing:
    taken = np.fromiter(times_ms, dtype=np.float64)
    return Timing(
        stage=stage,
        median_ms=float(np.median(taken)),
        least_ms=float(taken.min()),
        percentile_95_ms=float(np.percentile(taken, 95)),
        runs=taken.size,
    )


def _simulate_cases() -> list[Recording]:
    scenarios = [
        replace(
            scenario,
            duration_s=DURATION_S,
            recorder=replace(scenario.recorder, rate_hz=RATE_HZ),
        )
        for scenario in demo_round()
    ]
    return [simulate(scenario).recording for scenario in scenarios]


def _write_people(folder: Path, count: int) -> Path:
    """So many recordings, of random people in turn."""
    folder.mkdir()
    for seed in range(min(PEOPLE, count)):
        recording = simulate(replace(random_scenario(seed), duration_s=DURATION_S)).recording
        for number in range(seed, count, PEOPLE):
            write_wfdb(recording, folder / f"person{number}.hea")
    return folder


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    runs: int
    batch: int


def _parse(arguments: Sequence[str]) -> _Asked:
    parser = argparse.ArgumentParser(prog="python -m benchmarks speed", description=__doc__)
    parser.add_argument("--runs", type=int, default=120, help=f"warm runs, {LEAST_RUNS} or more")
    parser.add_argument("--batch", type=int, default=1000, help="recordings in the batch")
    given = parser.parse_args(arguments)
    return _Asked(runs=max(given.runs, LEAST_RUNS), batch=max(given.batch, 1))


def _stay_on_one_core() -> None:
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})


def _describe_circumstances(case_count: int) -> str:
    return (
        f"Couchside {couchside.__version__}, Python {platform.python_version()}, "
        f"NumPy {np.__version__}, {platform.machine()}, one core, one thread, processor time.\n"
        f"{case_count} simulated recordings of {DURATION_S:g} s, {RATE_HZ:g} Hz, 12 leads in turn, "
        f"warm after {WARM_UP_RUNS} runs.\n"
    )
