"""How many recordings a second two cores read and check."""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import couchside

CORES = 2
GOAL_PER_S = 150.0
_CHUNK = 25
_THREADS_SETTINGS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Each worker has one core; threads of its own would take turns on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One run over many files."""

    recordings: int
    files: int
    cores: int
    seconds: float

    @property
    def per_s(self) -> float:
        """Recordings a second."""
        return self.recordings / self.seconds


def time_batch(paths: Sequence[Path], count: int) -> Batch:
    """Read and check so many recordings, the files in turn, each worker warm.

    Parameters
    ----------
    paths : sequence of Path
        The files.
    count : int
        How many recordings to check in all.
    """
    cores = min(CORES, os.cpu_count() or 1)
    queue = [str(paths[number % len(paths)]) for number in range(count)]
    os.environ.update(dict.fromkeys(_THREADS_SETTINGS, "1"))
    with ProcessPoolExecutor(
        cores, mp_context=get_context("spawn"), initializer=check_file, initargs=(queue[0],)
    ) as workers:
        list(workers.map(check_file, queue[: 8 * cores]))
        start = time.perf_counter()
        checked = sum(workers.map(check_file, queue, chunksize=_CHUNK))
        seconds = time.perf_counter() - start
    return Batch(recordings=checked, files=len(paths), cores=cores, seconds=seconds)


def check_file(path: str) -> int:
    """Read and check one file, and count it."""
    assessment = couchside.check(couchside.read(Path(path)))
    return 1 if assessment.verdict else 0


def describe_batch(batch: Batch) -> str:
    """One sentence."""
    met = "met" if batch.per_s >= GOAL_PER_S else "NOT met"
    return (
        f"Batch: {batch.recordings} recordings from {batch.files} files read and checked in "
        f"{batch.seconds:.1f} s on {batch.cores} cores: {batch.per_s:.0f} a second. "
        f"Goal: {GOAL_PER_S:g}; {met}."
    )
