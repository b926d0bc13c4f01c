"""How long a comparison takes."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from time import process_time

import numpy as np

from benchmarks.quality.tables import Table
from benchmarks.serial.people import Person, list_own_pairs
from couchside.serial import compare
from couchside.serial.arrangements import log_likelihoods


def measure_speed(people: list[Person]) -> list[Table]:
    """Process time of a whole comparison, and of all arrangements alone."""
    pairs = list_own_pairs(people, reported=True)
    whole = [_time(partial(compare, new.examined, old.examined)) for new, old in pairs]
    asked = [_time(partial(log_likelihoods, new.shape, old.shape)) for new, old in pairs]
    return [
        Table(
            title="Time of a comparison",
            about="One core, process time, both recordings checked already; median over pairs.",
            columns=("what", "ms"),
            rows=(
                ("whole comparison", f"{np.median(whole):.1f}"),
                ("all arrangements of cables", f"{np.median(asked):.1f}"),
            ),
        )
    ]


def _time(work: Callable[[], object]) -> float:
    """The fastest of five, in ms."""
    times = []
    for _ in range(5):
        begin = process_time()
        work()
        times.append((process_time() - begin) * 1000.0)
    return min(times)
