from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from couchside.errors import InvalidInput
from couchside.service.desk import Desk
from couchside.store import Store

VIENNA = ZoneInfo("Europe/Vienna")
NAIVE = datetime(2026, 7, 1, 9, 0)  # noqa: DTZ001 - on the clinic's clock


@pytest.fixture
def vienna(store: Store) -> Desk:
    at_night = datetime(2026, 6, 30, 22, 30, tzinfo=UTC)
    return Desk(store=store, who="Robin", clock=lambda: at_night, zone=VIENNA)


def test_somebody_must_be_at_the_desk(store: Store) -> None:
    with pytest.raises(InvalidInput, match="nobody is named"):
        Desk(store=store, who=" ", clock=lambda: datetime.now(UTC))


def test_the_day_is_the_clinics_own_and_the_moment_is_in_utc(vienna: Desk) -> None:
    assert vienna.today() == date(2026, 7, 1)
    assert vienna.now() == datetime(2026, 6, 30, 22, 30, tzinfo=UTC)
    assert vienna.now().tzinfo is UTC


def test_a_moment_without_a_zone_is_on_the_clinics_clock(vienna: Desk) -> None:
    assert vienna.to_utc(NAIVE) == datetime(2026, 7, 1, 7, 0, tzinfo=UTC)
    assert vienna.day_of(NAIVE) == date(2026, 7, 1)


def test_without_a_zone_the_machines_own_holds(desk: Desk) -> None:
    here = Desk(store=desk.store, who="Robin", clock=desk.clock)
    assert here.to_utc(NAIVE) == NAIVE.astimezone(UTC)


def test_a_day_in_which_the_clocks_change_has_its_own_length(vienna: Desk) -> None:
    # Summer time begins on the last Sunday of March at 01:00 UTC (Directive 2000/84/EC)
    since, until = vienna.span_of(date(2026, 3, 29))
    assert since == datetime(2026, 3, 28, 23, tzinfo=UTC)
    assert until == datetime(2026, 3, 29, 22, tzinfo=UTC)


@pytest.mark.parametrize("year", [1, 9999])
def test_at_the_ends_of_the_calendar_a_date_is_refused(vienna: Desk, year: int) -> None:
    day = date(year, 12, 31)
    with pytest.raises(InvalidInput, match=f"the date {day} cannot be"):
        vienna.span_of(day)
    moment = datetime(year, 12, 31, tzinfo=UTC)
    for place in (vienna.to_utc, vienna.day_of):
        with pytest.raises(InvalidInput, match="correct its year"):
            place(moment)


def test_another_person_sits_down_at_the_same_desk(desk: Desk) -> None:
    other = desk.with_person("Sam")
    assert other.who == "Sam"
    assert other.store is desk.store
    assert other.readings is desk.readings
