"""QTc by the published formulas: values worked out by hand from each formula's own definition.

Bazett QT/√RR, Fridericia QT/∛RR, Framingham QT + 154·(1 − RR), Hodges QT + 1.75·(HR − 60), with QT
in ms and RR = 60/HR in s; each value rounded to one decimal, hence the tolerance of 0.05 ms.
"""

from __future__ import annotations

import pytest

from couchside.measures.qtc import bazett, framingham, fridericia, hodges

ROUNDING_MS = 0.051


@pytest.mark.parametrize(
    ("qt_ms", "rate", "by_bazett", "by_fridericia", "by_framingham", "by_hodges"),
    [
        (400, 60, 400.0, 400.0, 400.0, 400.0),
        (400, 75, 447.2, 430.9, 430.8, 426.25),
        (360, 100, 464.8, 426.8, 421.6, 430.0),
        (440, 50, 401.7, 414.1, 409.2, 422.5),
        (320, 120, 452.5, 403.2, 397.0, 425.0),
        (380, 90, 465.4, 435.0, 431.3, 432.5),
    ],
)
def test_four_formulas(  # noqa: PLR0917 - one value for each formula
    qt_ms: float,
    rate: float,
    by_bazett: float,
    by_fridericia: float,
    by_framingham: float,
    by_hodges: float,
) -> None:
    rr_s = 60.0 / rate

    assert bazett(qt_ms, rr_s) == pytest.approx(by_bazett, abs=ROUNDING_MS)
    assert fridericia(qt_ms, rr_s) == pytest.approx(by_fridericia, abs=ROUNDING_MS)
    assert framingham(qt_ms, rr_s) == pytest.approx(by_framingham, abs=ROUNDING_MS)
    assert hodges(qt_ms, rr_s) == pytest.approx(by_hodges, abs=ROUNDING_MS)
