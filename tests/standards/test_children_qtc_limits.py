"""Children's QTc limits must not contradict each other at the rate of the children they come from.

[Phan2015] gives 2 SD limits of four formulas for 702 children of 122 beats a minute on average. At
that rate one QT meets them all, or they are not limits of the same formulas: Bazett's 460 ms is a
QT of 323 ms, which is 409 ms by Fridericia (printed: 414), 431 by Hodges (443), but 401 by
Framingham, for which 353 is printed.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside.measures import MeasureName
from couchside.measures.limits_table import find_cell
from couchside.measures.qtc import bazett, framingham, fridericia, hodges
from couchside.recording import Sex

RR_S = 60.0 / 122.0
APART_MS = 15.0
"""The printed limits round a spread of their own each."""


@pytest.mark.parametrize(
    ("name", "correct"),
    [
        (MeasureName.QTC_BAZETT, bazett),
        (MeasureName.QTC_FRIDERICIA, fridericia),
        (MeasureName.QTC_HODGES, hodges),
    ],
)
def test_one_qt_meets_the_limits_of_all_formulas(
    name: MeasureName, correct: Callable[[float, float], float]
) -> None:
    cell = find_cell(name, 2.0, Sex.NOT_STATED, table="phan-2015")
    assert cell is not None
    assert cell.high is not None
    qt_ms = 460.0 * RR_S**0.5
    assert correct(qt_ms, RR_S) == pytest.approx(cell.high, abs=APART_MS)


def test_the_printed_limit_for_framingham_is_left_out_as_it_contradicts_the_others() -> None:
    assert find_cell(MeasureName.QTC_FRAMINGHAM, 2.0, Sex.NOT_STATED) is None
    assert framingham(460.0 * RR_S**0.5, RR_S) > 353.0 + APART_MS
