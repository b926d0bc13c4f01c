"""What arrivals say of a recorder's clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil
from statistics import median

LEAST_ARRIVALS = 3
MOST_ARRIVALS = 20
"""The newest ones, so that a clock that was set is known as set after some more arrivals."""

SMALLEST_SHARE = 0.25
"""What comes late says nothing; of the quickest quarter, the median is not led by one file."""

TELL_FROM_S = 120.0
"""On the way a file loses seconds, and a start may be stated to the minute: two minutes are told.
No published limit is known; common practice, from memory."""

AHEAD_FROM_S = 60.0
"""Nothing arrives before it was recorded; a start stated to the next minute explains one minute."""

HOUR_S = 3600.0


class ClockState(StrEnum):
    """What can be said of a clock."""

    AGREES = "agrees"
    BEHIND = "behind"
    AHEAD = "ahead"
    NOT_STEADY = "not steady"
    TOO_FEW = "too few arrivals"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockReading:
    """What arrivals say of a clock.

    `offset_s` is by how much the clock is behind, below 0 ahead, with whatever time files take on
    their way; None where too few arrived. `least_s` and `most_s` are the delays that it is from,
    `count` all that were looked at.
    """

    state: ClockState
    count: int
    offset_s: float | None = None
    least_s: float | None = None
    most_s: float | None = None

    @property
    def is_wrong(self) -> bool:
        """Whether somebody should look at the clock."""
        return self.state in {ClockState.BEHIND, ClockState.AHEAD}

    @property
    def is_by_hours(self) -> bool:
        """Whether it is off by whole hours, as after a change to or from summer time."""
        if self.offset_s is None or abs(self.offset_s) < HOUR_S - TELL_FROM_S:
            return False
        return abs(self.offset_s - HOUR_S * round(self.offset_s / HOUR_S)) <= TELL_FROM_S


def read_clock(delays_s: Sequence[float]) -> ClockReading:
    """What delays between the end of recordings and their arrival say of the recorder's clock.

    Parameters
    ----------
    delays_s : sequence of float
        Arrival less the end of the recording as the file states it, of the newest arrivals.

    Returns
    -------
    ClockReading
        TOO_FEW below three; NOT_STEADY where the files come late in no steady way.

    Notes
    -----
    A file may come late, but never early: a delay is the clock's offset plus a time on the way that
    is at least 0. So the smallest delays are nearest to the offset, and what is handed in hours
    afterwards does no harm. The median of the quickest quarter, at least three, is taken. Below
    minus one minute the clock is ahead, whatever the rest says. Above two minutes it is behind if
    those quickest agree to two minutes; a clock behind and files that are always brought that late
    cannot be told apart.
    """
    if len(delays_s) < LEAST_ARRIVALS:
        return ClockReading(state=ClockState.TOO_FEW, count=len(delays_s))
    count = max(LEAST_ARRIVALS, ceil(SMALLEST_SHARE * len(delays_s)))
    smallest = sorted(delays_s)[:count]
    return ClockReading(
        state=_judge(smallest),
        count=len(delays_s),
        offset_s=median(smallest),
        least_s=smallest[0],
        most_s=smallest[-1],
    )


def _judge(smallest: Sequence[float]) -> ClockState:
    offset_s = median(smallest)
    if offset_s < -AHEAD_FROM_S:
        return ClockState.AHEAD
    if offset_s <= TELL_FROM_S:
        return ClockState.AGREES
    is_steady = smallest[-1] - smallest[0] <= TELL_FROM_S
    return ClockState.BEHIND if is_steady else ClockState.NOT_STEADY
