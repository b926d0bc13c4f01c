"""Where a value stands against its limits, as both are shown."""

from __future__ import annotations

import pytest

from couchside.measures.model import Limits, Measured, MeasureName, Standing


def measured(value: float, unit: str = "ms", *, high_is_outside: bool = False) -> Measured:
    low, high = (0.5, 2.0) if unit == "mV" else (70.0, 104.0)
    limits = Limits(low=low, high=high, population="p", source="s", high_is_outside=high_is_outside)
    return Measured(
        name=MeasureName.QRS_DURATION, value=value, unit=unit, method="m", limits=limits
    )


@pytest.mark.parametrize(
    ("value", "unit", "standing"),
    [
        (69.6, "ms", Standing.WITHIN),
        (69.4, "ms", Standing.BELOW),
        (104.4, "ms", Standing.WITHIN),
        (104.6, "ms", Standing.ABOVE),
        (0.497, "mV", Standing.WITHIN),
        (0.494, "mV", Standing.BELOW),
        (2.004, "mV", Standing.WITHIN),
        (2.006, "mV", Standing.ABOVE),
    ],
)
def test_a_value_printed_as_its_limit_is_within(
    value: float, unit: str, standing: Standing
) -> None:
    assert measured(value, unit).standing is standing


def test_a_limit_that_is_itself_outside_stays_so() -> None:
    assert measured(104.2, high_is_outside=True).standing is Standing.ABOVE
    assert measured(103.4, high_is_outside=True).standing is Standing.WITHIN


def test_a_value_shown_as_such_a_limit_is_outside_as_the_reader_sees_it() -> None:
    assert measured(103.8, high_is_outside=True).standing is Standing.ABOVE
