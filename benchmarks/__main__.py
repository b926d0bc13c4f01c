"""`python -m benchmarks NAME`, NAME being one of `BENCHMARKS`; each takes `--help`."""

from __future__ import annotations

import os
import sys
from importlib import import_module

BENCHMARKS = ("speed", "accuracy", "quality", "serial", "load", "frames")
_THREAD_VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def main(arguments: list[str]) -> int:
    """Run one benchmark; the rest of the arguments are its own."""
    if not arguments or arguments[0] not in BENCHMARKS:
        print(f"usage: python -m benchmarks {{{','.join(BENCHMARKS)}}} [options]", file=sys.stderr)
        return 2
    _use_one_thread()
    benchmark = import_module(f"benchmarks.{arguments[0]}")
    code: int = benchmark.main(arguments[1:])
    return code


def _use_one_thread() -> None:
    """Before NumPy is imported: its libraries look at the environment only then."""
    for variable in _THREAD_VARIABLES:
        os.environ.setdefault(variable, "1")


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
