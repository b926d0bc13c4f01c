"""A file may come late, never early: the quickest arrivals tell what a clock is worth."""

from __future__ import annotations

import pytest

from couchside.service.clocks import ClockState, read_clock


def test_too_few_arrivals_say_nothing() -> None:
    assert read_clock([420.0, 425.0]).state is ClockState.TOO_FEW
    assert read_clock([]).offset_s is None


@pytest.mark.parametrize(
    ("delays_s", "state", "offset_s"),
    [
        ([4.0, 6.0, 9.0, 30.0], ClockState.AGREES, 6.0),
        ([4.0, 6.0, 9.0, 86400.0, 7200.0], ClockState.AGREES, 6.0),
        ([424.0, 426.0, 429.0, 450.0], ClockState.BEHIND, 426.0),
        ([-176.0, -174.0, -171.0, 90000.0], ClockState.AHEAD, -174.0),
        ([-40.0, -30.0, 5.0], ClockState.AGREES, -30.0),
        ([300.0, 3600.0, 7200.0], ClockState.NOT_STEADY, 3600.0),
        ([3605.0, 3606.0, 3610.0], ClockState.BEHIND, 3606.0),
    ],
)
def test_the_smallest_delays_tell(
    delays_s: list[float], state: ClockState, offset_s: float
) -> None:
    reading = read_clock(delays_s)
    assert (reading.state, reading.offset_s) == (state, offset_s)


def test_whole_hours_are_told_apart() -> None:
    assert read_clock([3605.0, 3606.0, 3610.0]).is_by_hours
    assert read_clock([-7199.0, -7190.0, -7180.0]).is_by_hours
    assert not read_clock([424.0, 426.0, 429.0]).is_by_hours
    assert not read_clock([5000.0, 5001.0, 5002.0]).is_by_hours


def test_late_arrivals_only_do_not_move_the_reading() -> None:
    quick = [5.0, 6.0, 7.0, 8.0, 9.0]
    late = [86400.0 + n for n in range(15)]
    assert read_clock([*quick, *late]).offset_s == 7.0
