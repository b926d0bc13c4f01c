"""How many recordings a second `couchside check` gets through in a folder, on two cores."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from benchmarks.commands import time_check

CORES = 2
GOAL_PER_S = 150.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One run over a folder, from the start of the command to its end."""

    recordings: int
    cores: int
    seconds: float

    @property
    def per_s(self) -> float:
        """Recordings a second."""
        return self.recordings / self.seconds


def time_batch(folder: Path) -> Batch:
    """Check every recording of a folder of WFDB records as a person does."""
    with _on_cores(CORES) as cores:
        taken = time_check(folder)
    return Batch(recordings=len(list(folder.glob("*.hea"))), cores=cores, seconds=taken.clock_s)


def describe_batch(batch: Batch) -> str:
    """One sentence."""
    met = "met" if batch.per_s >= GOAL_PER_S else "NOT met"
    return (
        f"Batch: `couchside check` of a folder of {batch.recordings} recordings takes "
        f"{batch.seconds:.1f} s by the clock on {batch.cores} cores, its start included: "
        f"{batch.per_s:.0f} a second. Goal: {GOAL_PER_S:g}; {met}."
    )


@contextmanager
def _on_cores(count: int) -> Iterator[int]:
    """Give this process, and those that it starts, so many cores at most; say how many it has."""
    if not hasattr(os, "sched_setaffinity"):
        yield os.cpu_count() or 1
        return
    allowed = os.sched_getaffinity(0)
    chosen = set(sorted(allowed)[:count])
    os.sched_setaffinity(0, chosen)
    try:
        yield len(chosen)
    finally:
        os.sched_setaffinity(0, allowed)
