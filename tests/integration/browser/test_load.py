"""People at once at one round, in real browsers; `python -m benchmarks load` is the long one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from benchmarks.load import run
from benchmarks.load.people import CHROMIUM
from benchmarks.load.preparing import Plan

pytestmark = pytest.mark.browser


def test_nothing_is_lost_or_decided_twice_by_people_at_once(tmp_path: Path) -> None:
    if not Path(CHROMIUM).exists():
        pytest.skip("Debian's chromium is not installed: make peers")
    plan = Plan(people=6, arrivals=6, at_work=2, seconds=12.0)
    with ThreadPoolExecutor(1) as own_thread:  # the other browser tests keep a loop in this one
        tally, visits = own_thread.submit(run, tmp_path, plan).result()
    assert tally.is_whole, tally
    assert tally.taken >= 1
    assert len(visits.answered_ms) >= 4
