from __future__ import annotations

import pytest

from couchside.measures.model import Limits, Measured, MeasureName, Standing
from couchside.paper.measure_words import find_printed_standing, format_value


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
    assert find_printed_standing(measured(value, unit)) is standing


def test_a_limit_that_is_itself_outside_stays_so() -> None:
    assert find_printed_standing(measured(104.2, high_is_outside=True)) is Standing.ABOVE
    assert find_printed_standing(measured(103.8, high_is_outside=True)) is Standing.WITHIN


def test_nothing_is_printed_as_minus_nought() -> None:
    assert format_value(measured(-0.3)) == "0 ms"
    assert format_value(measured(-0.001, "mV")) == "0.00 mV"
