"""`python -m benchmarks accuracy --data FOLDER [--tuning] [--write]`."""

from __future__ import annotations

import argparse
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from benchmarks.accuracy.annotated import Part
from benchmarks.accuracy.measured import measure_figures
from benchmarks.accuracy.tables import render_tables
from benchmarks.accuracy.trust import measure_trust
from benchmarks.accuracy.trust_tables import render_trust
from benchmarks.validation_page import write_section

OPENS, CLOSES = "<!-- accuracy:waves -->", "<!-- end -->"


def main(argv: list[str]) -> int:
    """Print the tables, and write them where asked to."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks accuracy", description=__doc__)
    parser.add_argument(
        "--data",
        type=Path,
        default=os.environ.get("COUCHSIDE_DATA"),
        help="folder of the open recordings; COUCHSIDE_DATA where not given",
    )
    parser.add_argument("--tuning", action="store_true", help="the part that things were fitted to")
    parser.add_argument(
        "--write", action="store_true", help="write the section of docs/validation.md"
    )
    arguments = parser.parse_args(argv)
    if arguments.data is None or not Path(arguments.data).is_dir():
        print("the open recordings are not here: name their folder with --data", file=sys.stderr)
        return 2
    part = Part.TUNE if arguments.tuning else Part.REPORT
    folder = Path(arguments.data)
    with ProcessPoolExecutor(2) as both:
        figures = both.submit(measure_figures, folder, part)
        trust = both.submit(measure_trust, folder, part)
        tables = "\n\n".join([render_tables(figures.result(), part), *render_trust(trust.result())])
    print(tables)
    if arguments.write and part is Part.REPORT:
        write_section(OPENS, CLOSES, f"\n{tables}\n")
    return 0
