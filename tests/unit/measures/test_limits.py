"""Limits by age and sex: which table is used, and that every cell says where it comes from."""

from __future__ import annotations

from datetime import date, datetime

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.measures.limits import find_limits
from couchside.measures.limits_table import TABLE_TITLES, find_cell, load_cells
from couchside.measures.model import Limits, Measured, MeasureName, Standing, Trust
from couchside.recording import Patient, Recording, Sex

START = datetime(2026, 3, 1, 10, 0)  # noqa: DTZ001 - a recorder's own clock


def _recording(born: date | None, sex: Sex = Sex.NOT_STATED) -> Recording:
    return Recording(
        leads=("I",),
        microvolts=np.zeros((1, 10)),
        rate_hz=500.0,
        start=START,
        patient=Patient(birth_date=born, sex=sex),
    )


def test_adults_get_the_whole_group_of_mason() -> None:
    limits = find_limits(MeasureName.PR_INTERVAL, _recording(date(1990, 1, 1)))

    assert limits is not None
    assert (limits.low, limits.high) == (113.0, 212.0)
    assert limits.source.startswith("Mason 2007")
    assert limits.trust is Trust.SEEN


def test_women_of_50_to_79_get_their_own() -> None:
    rate = find_limits(MeasureName.HEART_RATE, _recording(date(1960, 1, 1), Sex.FEMALE))
    qt = find_limits(MeasureName.QT_INTERVAL, _recording(date(1960, 1, 1), Sex.FEMALE))

    assert rate is not None
    assert (rate.low, rate.high) == (49.0, 88.0)
    assert qt is not None
    assert qt.source.startswith("Mason 2007")


def test_age_not_stated_is_said() -> None:
    limits = find_limits(MeasureName.HEART_RATE, _recording(None))

    assert limits is not None
    assert limits.population == "adults (age not stated)"


@pytest.mark.parametrize(
    ("born", "low", "high"),
    [
        (date(2026, 2, 26), 90, 160),
        (date(2026, 2, 14), 100, 180),
        (date(2026, 1, 15), 120, 180),
        (date(2025, 11, 1), 105, 185),
        (date(2025, 6, 1), 110, 170),
        (date(2024, 3, 1), 90, 165),
        (date(2022, 1, 1), 70, 140),
        (date(2019, 1, 1), 65, 140),
        (date(2016, 1, 1), 60, 130),
        (date(2012, 1, 1), 65, 130),
        (date(2009, 1, 1), 50, 120),
    ],
)
def test_children_get_the_table_that_was_seen_whole(born: date, low: float, high: float) -> None:
    limits = find_limits(MeasureName.HEART_RATE, _recording(born))

    assert limits is not None
    assert (limits.low, limits.high) == (low, high)
    assert limits.trust is Trust.SEEN


def test_table_from_memory_says_so_and_can_be_asked_for() -> None:
    boy = _recording(date(2019, 1, 1), Sex.MALE)

    limits = find_limits(MeasureName.QRS_AXIS, boy, table="rijnbeek-2001")

    assert limits is not None
    assert (limits.low, limits.high) == (-10.0, 112.0)
    assert limits.population == "boys of 5 to 8 years"
    assert limits.trust is Trust.FROM_MEMORY


def test_nobody_without_a_sex_gets_limits_of_one_sex() -> None:
    assert find_cell(MeasureName.QTC_HODGES, 40.0, Sex.NOT_STATED) is None


def test_unknown_table_is_refused() -> None:
    with pytest.raises(InvalidInput, match="no table of limits 'other'"):
        find_cell(MeasureName.HEART_RATE, 40.0, Sex.MALE, table="other")


def test_every_cell_has_a_title_a_trust_and_a_known_source() -> None:
    for cell in load_cells():
        assert cell.table in TABLE_TITLES
        assert cell.people
        assert cell.from_years < cell.below_years
        assert cell.low is not None or cell.high is not None
        assert cell.low is None or cell.high is None or cell.low < cell.high


@pytest.mark.parametrize("name", [MeasureName.HEART_RATE, MeasureName.PR_INTERVAL])
@pytest.mark.parametrize("sex", list(Sex))
def test_no_age_between_newborn_and_old_is_without_limits(name: MeasureName, sex: Sex) -> None:
    ages = np.concatenate((np.linspace(0.0, 2.0, 400), np.linspace(2.0, 105.0, 2000)))

    assert all(find_cell(name, float(age), sex) is not None for age in ages)


def test_limit_printed_as_at_least_lies_outside() -> None:
    limits = Limits(low=None, high=3.5, population="adults", source="s", high_is_outside=True)
    measured = Measured(
        name=MeasureName.SOKOLOW_LYON, value=3.5, unit="mV", method="m", limits=limits
    )

    assert measured.standing is Standing.ABOVE
