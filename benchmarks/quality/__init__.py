"""How well the check judges: verdicts, leads, electrodes, cables, on open and simulated data.

    python -m benchmarks quality [PART…] [--write]

Parts: verdicts, acceptability, false-alarms, leads, faults, faults-simulated, faults-harder,
confidence, filters, lead-names, pacing, cables, whole-cables, misplacement; and fit,
fit-acceptability, fit-cables, fit-confidence and displacements, which are run only when asked for.
`--write` puts the tables into docs/validation.md.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path

from benchmarks.interchange.fit import fit_cables
from benchmarks.quality import (
    acceptability,
    cables,
    confidence,
    faults,
    filters,
    fit,
    lead_names,
    leads,
    misplacement,
    pacing,
    verdicts,
)
from benchmarks.quality.open_data import find_open_data
from benchmarks.quality.tables import Table, write_section
from benchmarks.quality.whole_cables import measure_whole_recordings

PARTS: dict[str, Callable[[Path], list[Table]]] = {
    "verdicts": verdicts.measure_agreement,
    "acceptability": acceptability.measure_acceptability,
    "false-alarms": verdicts.measure_false_alarms,
    "leads": leads.measure_lead_noise,
    "faults": faults.measure_put_in,
    "faults-simulated": faults.measure_simulated,
    "faults-harder": faults.measure_harder_to_trace,
    "confidence": confidence.measure_confidence,
    "filters": filters.measure_filters,
    "lead-names": lead_names.measure_lead_names,
    "pacing": pacing.measure_pacing,
    "cables": cables.measure_exchanges,
    "whole-cables": measure_whole_recordings,
    "misplacement": misplacement.measure_misplacement,
    "fit": fit.fit_hiding_levels,
    "fit-acceptability": acceptability.fit_acceptability,
    "fit-cables": fit_cables,
    "fit-confidence": confidence.fit_confidence,
    "displacements": misplacement.write_displacements,
}
ONLY_WHEN_ASKED = {
    "fit",
    "fit-acceptability",
    "fit-cables",
    "fit-confidence",
    "displacements",
}


def main(argv: Sequence[str]) -> int:
    """Measure what is asked for and print it; the exit code is 2 where the open data is absent."""
    parser = argparse.ArgumentParser(prog="benchmarks quality", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=", ".join(PARTS))
    parser.add_argument("--write", action="store_true", help="put it into docs/validation.md")
    arguments = parser.parse_args(list(argv))
    unknown = [part for part in arguments.parts if part not in PARTS]
    if unknown:
        parser.error(f"there is no part {', '.join(unknown)}; there are {', '.join(PARTS)}")
    folder = find_open_data()
    if folder is None:
        print(
            "COUCHSIDE_DATA names no folder of open recordings, so nothing can be measured. "
            "Set it to the folder that holds ludb, ptbxl, cinc2011 and the others: "
            "COUCHSIDE_DATA=FOLDER python -m benchmarks quality"
        )
        return 2
    tables: list[Table] = []
    for part in arguments.parts or [part for part in PARTS if part not in ONLY_WHEN_ASKED]:
        for table in PARTS[part](folder):
            print(table.as_text(), flush=True)
            tables.append(table)
    if arguments.write:
        write_section("quality", tables)
    return 0
