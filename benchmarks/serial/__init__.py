"""How well recordings of one person are told from others', and exchanges seen against earlier ones.

    python -m benchmarks serial [PART…] [--write]

Parts: heart, exchanges, placing, simulated, variation, half-widths, speed; and fit, which is run
only when asked for and prints the numbers that stand in the code. `--write` puts the tables into
docs/validation.md.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence

from benchmarks.quality.open_data import find_open_data
from benchmarks.quality.tables import Table, write_section
from benchmarks.serial import (
    exchanges,
    half_widths,
    heart,
    placing,
    simulated,
    speed,
    variation,
)
from benchmarks.serial.people import Person, read_people

PARTS: dict[str, Callable[[list[Person]], list[Table]]] = {
    "heart": heart.measure_same_heart,
    "exchanges": exchanges.measure_exchanges,
    "placing": placing.measure_placing,
    "simulated": simulated.measure_simulated,
    "variation": variation.measure_variation,
    "half-widths": half_widths.measure_half_widths,
    "speed": speed.measure_speed,
    "fit": heart.fit,
}
ONLY_WHEN_ASKED = {"fit"}


def main(argv: Sequence[str]) -> int:
    """Measure what is asked for and print it; the exit code is 2 where the open data is absent."""
    parser = argparse.ArgumentParser(prog="benchmarks serial", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=", ".join(PARTS))
    parser.add_argument("--write", action="store_true", help="put it into docs/validation.md")
    arguments = parser.parse_args(list(argv))
    unknown = [part for part in arguments.parts if part not in PARTS]
    if unknown:
        parser.error(f"there is no part {', '.join(unknown)}; there are {', '.join(PARTS)}")
    folder = find_open_data()
    if folder is None:
        print("COUCHSIDE_DATA names no folder of open recordings; nothing can be measured.")
        return 2
    people = read_people(folder)
    tables: list[Table] = []
    for part in arguments.parts or [part for part in PARTS if part not in ONLY_WHEN_ASKED]:
        for table in PARTS[part](people):
            print(table.as_text(), flush=True)
            tables.append(table)
    if arguments.write:
        write_section("serial", tables)
    return 0
