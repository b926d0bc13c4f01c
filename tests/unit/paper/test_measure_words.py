from __future__ import annotations

from couchside.measures.model import Limits, Measured, MeasureName
from couchside.paper.measure_words import format_value


def measured(value: float, unit: str = "ms", *, high_is_outside: bool = False) -> Measured:
    low, high = (0.5, 2.0) if unit == "mV" else (70.0, 104.0)
    limits = Limits(low=low, high=high, population="p", source="s", high_is_outside=high_is_outside)
    return Measured(
        name=MeasureName.QRS_DURATION, value=value, unit=unit, method="m", limits=limits
    )


def test_nothing_is_printed_as_minus_nought() -> None:
    assert format_value(measured(-0.3)) == "0 ms"
    assert format_value(measured(-0.001, "mV")) == "0.00 mV"
