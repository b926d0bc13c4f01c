"""What stands in the end: nothing lost, nothing twice."""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC

from sqlalchemy import func, select

from benchmarks.load.people import Visits
from benchmarks.load.preparing import Prepared
from couchside.service import Desk, open_desk
from couchside.service.trail import check_trail
from couchside.store.tables import AttemptRow, DecisionRow, RecordingRow

LONGEST_WAIT_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What was found.

    `taken` are decisions that a page took, `standing` those that are filed, `refused` those that
    came second and were told so; `doubled` recordings bear more than one decision, which none of
    these people can have wanted. `failures` are answers with a status from 500 on.
    """

    filed: int
    expected: int
    taken: int
    standing: int
    refused: int
    doubled: int
    failures: int
    is_chain_whole: bool
    cpu_s: float

    @property
    def is_whole(self) -> bool:
        """Nothing lost, nothing twice, nothing failed."""
        is_all_there = self.filed == self.expected and self.taken == self.standing
        return is_all_there and self.doubled == self.failures == 0 and self.is_chain_whole


async def wait_until_filed(prepared: Prepared) -> None:
    """Give what arrived last the time to be read, on a busy machine too."""
    until = time.monotonic() + LONGEST_WAIT_S
    with closing(open_desk(prepared.data, who="benchmark", zone=UTC)) as desk:
        while time.monotonic() < until and _count_recordings(desk) < len(prepared.files):
            await asyncio.sleep(0.1)


def count_up(prepared: Prepared, visits: Visits, *, cpu_s: float) -> Tally:
    """Hold what is filed against what was sent and seen."""
    with closing(open_desk(prepared.data, who="benchmark", zone=UTC)) as desk:
        with desk.store.reading() as session:
            recordings = session.scalars(select(RecordingRow.id)).all()
            attempts = session.scalars(select(AttemptRow.recording_id)).all()
            decided = session.scalars(select(DecisionRow.recording_id)).all()
        is_whole = check_trail(desk).broken is None
    is_filed = sorted(recordings) == sorted(attempts)
    return Tally(
        filed=len(recordings) if is_filed else 0,
        expected=len(prepared.files),
        taken=len(visits.decided),
        standing=len(decided) if Counter(decided) == Counter(visits.decided) else 0,
        refused=len(visits.second),
        doubled=sum(1 for count in Counter(decided).values() if count > 1),
        failures=sum(count for status, count in visits.statuses.items() if status >= 500),
        is_chain_whole=is_whole,
        cpu_s=cpu_s,
    )


def _count_recordings(desk: Desk) -> int:
    with desk.store.reading() as session:
        return session.scalar(select(func.count(RecordingRow.id))) or 0
