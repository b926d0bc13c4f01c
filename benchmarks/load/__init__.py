"""A round at work: several people at once decide on what keeps arriving, in real browsers.

`python -m benchmarks load [--minutes 10] [--people 40] [--arrivals 60] [--at-work 4] [--write]`
serves a round of simulated people by the command `couchside serve`, puts their recordings into its
watched folder one after the other, and lets scripted people decide on them in Debian's Chromium,
each signed in, each choosing among what is open, so that two now and then choose the same. Then it
counts: is every recording filed once, does every decision that was taken stand, was any taken
twice, does the chain of the audit trail hold, and how long did pages take.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import platform
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from benchmarks.load.counting import Tally, count_up, wait_until_filed
from benchmarks.load.people import Visits, work_together
from benchmarks.load.preparing import Plan, Prepared, prepare, put_arrivals, serve_folder
from benchmarks.validation_page import write_section
from couchside.waves.model import FloatArray

OPENS, CLOSES = "<!-- load -->", "<!-- end load -->"
GOAL_MS = 200.0


def main(arguments: Sequence[str]) -> int:
    """Run it and print the table; exit code 1 where anything was lost or taken twice."""
    asked = _parse(arguments)
    plan = Plan(
        people=asked.people,
        arrivals=asked.arrivals,
        at_work=asked.at_work,
        seconds=60.0 * asked.minutes,
    )
    with tempfile.TemporaryDirectory() as folder:
        tally, visits = run(Path(folder), plan)
    table = make_table(plan, tally, visits)
    print(table)
    if asked.write:
        write_section(OPENS, CLOSES, table)
    return 0 if tally.is_whole else 1


def run(folder: Path, plan: Plan) -> tuple[Tally, Visits]:
    """Prepare the round in a folder, let it be worked on, and count."""
    prepared = prepare(folder, plan)
    with serve_folder(prepared) as server:
        visits = asyncio.run(_work(prepared, server.address))
        cpu_s = server.count_cpu_s()
    return count_up(prepared, visits, cpu_s=cpu_s), visits


async def _work(prepared: Prepared, address: str) -> Visits:
    visits = Visits()
    await asyncio.gather(
        work_together(address, prepared.tokens, prepared.plan, visits), put_arrivals(prepared)
    )
    await wait_until_filed(prepared)
    return visits


def make_table(plan: Plan, tally: Tally, visits: Visits) -> str:
    """What was found, in Markdown."""
    answered, shown = np.array(visits.answered_ms), np.array(visits.shown_ms)
    rows = {
        "people, arrivals, at work, minutes": f"{plan.people}, {plan.arrivals}, {plan.at_work}, "
        f"{plan.seconds / 60:g}",
        "arrivals filed once, under their order": f"{tally.filed} of {tally.expected}",
        "decisions taken by pages / that stand": f"{tally.taken} / {tally.standing}",
        "decisions that came second, and were told so": str(tally.refused),
        "recordings decided on twice": str(tally.doubled),
        "answers with a server error": str(tally.failures),
        "chain of the audit trail": "holds" if tally.is_chain_whole else "is broken",
        "pages opened": str(answered.size),
        "page answered, ms: median, 95th percentile, longest": _describe(answered),
        "page shown, ms: median, 95th percentile, longest": _describe(shown),
        "processor time of the server, s": f"{tally.cpu_s:.0f}",
        "machine": f"{os.cpu_count()} cores, load {os.getloadavg()[1]:.1f}, browsers on it too, "
        f"Python {platform.python_version()}",
    }
    lines = [
        "| what | found |",
        "|---|---|",
        *(f"| {what} | {found} |" for what, found in rows.items()),
    ]
    goal = "met" if np.percentile(answered, 95) < GOAL_MS else "missed"
    return "\n".join(
        [*lines, "", f"The goal of {GOAL_MS:.0f} ms for 95 % of pages, answered: {goal}."]
    )


def _describe(times_ms: FloatArray) -> str:
    return f"{np.median(times_ms):.0f}, {np.percentile(times_ms, 95):.0f}, {times_ms.max():.0f}"


def _parse(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks load", description=__doc__)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--people", type=int, default=40)
    parser.add_argument("--arrivals", type=int, default=60)
    parser.add_argument("--at-work", type=int, default=4)
    parser.add_argument("--write", action="store_true", help="into docs/validation.md")
    return parser.parse_args(arguments)
