"""`couchside check` in a new process, as a person runs it, and what it took."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Processor time of the command, and by the clock."""

    processor_ms: float
    clock_s: float


def time_check(path: Path) -> Taken:
    """Check a file or a folder.

    Compiled modules are kept, as they are wherever Couchside is installed, also where the
    environment says otherwise.
    """
    environment = {**os.environ}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    before, start = os.times(), time.perf_counter()
    ended = subprocess.run(
        [sys.executable, "-m", "couchside", "check", str(path)],
        capture_output=True,
        check=False,
        env=environment,
    )
    after, clock_s = os.times(), time.perf_counter() - start
    if ended.returncode not in {0, 1}:
        raise RuntimeError(ended.stderr.decode())
    processor_s = (after.children_user - before.children_user) + (
        after.children_system - before.children_system
    )
    return Taken(processor_ms=1000.0 * processor_s, clock_s=clock_s)
