"""Which QTc is to be quoted, and JT."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.measures.model import Measured, MeasureName
from couchside.measures.qtc_choice import choose_qtc, jt_index, measure_jt
from couchside.recording import Patient, Recording
from couchside.waves import Waves

Draw = Callable[..., NDArray[np.float64]]
Make = Callable[..., Waves]


def _recording(age_years: float | None) -> Recording:
    return Recording(
        leads=("I",),
        microvolts=np.zeros((1, 10)),
        rate_hz=500.0,
        start=datetime(2026, 1, 5, 9, 0),  # noqa: DTZ001 - a recorder's own clock
        patient=Patient(stated_age_years=age_years),
    )


def _measured(qrs_ms: float = 90.0, qtc_ms: float | None = 420.0) -> list[Measured]:
    reason = "" if qtc_ms is not None else "no beats were found"
    qtc = [
        Measured(name=name, value=qtc_ms, unit="ms", method="given", reason=reason)
        for name in (MeasureName.QTC_BAZETT, MeasureName.QTC_FRIDERICIA)
    ]
    return [
        Measured(name=MeasureName.QRS_DURATION, value=qrs_ms, unit="ms", method="given"),
        *qtc,
    ]


@pytest.fixture
def regular(draw_lead: Draw, make_waves: Make) -> Waves:
    return make_waves({"II": draw_lead((1000, 60))}, beats_s=(1, 2, 3, 4, 5, 6))


@pytest.mark.parametrize(
    ("age_years", "name"),
    [
        (0.1, MeasureName.QTC_BAZETT),
        (15.9, MeasureName.QTC_BAZETT),
        (16.0, MeasureName.QTC_FRIDERICIA),
        (None, MeasureName.QTC_FRIDERICIA),
    ],
)
def test_formula_by_age(age_years: float | None, name: MeasureName, regular: Waves) -> None:
    choice = choose_qtc(_recording(age_years), regular, _measured())

    assert choice is not None
    assert choice.name is name
    assert "irregular" not in choice.sentence
    assert "JT" not in choice.sentence


def test_wide_qrs_names_jt(regular: Waves) -> None:
    choice = choose_qtc(_recording(60.0), regular, _measured(qrs_ms=120.0))

    assert choice is not None
    assert "JT is to be read beside it" in choice.sentence


def test_irregular_rhythm_says_which_rr_was_used(draw_lead: Draw, make_waves: Make) -> None:
    waves = make_waves({"II": draw_lead((1000, 60))}, beats_s=(1, 1.5, 2.6, 3.1, 4.3, 4.9))

    choice = choose_qtc(_recording(60.0), waves, _measured())

    assert choice is not None
    assert "mean RR and is doubtful" in choice.sentence


def test_no_qtc_no_choice(regular: Waves) -> None:
    assert choose_qtc(_recording(60.0), regular, _measured(qtc_ms=None)) is None


def test_jt_is_what_qrs_leaves_of_qt() -> None:
    qt = Measured(name=MeasureName.QT_INTERVAL, value=440.0, unit="ms", method="given")
    qrs = Measured(name=MeasureName.QRS_DURATION, value=140.0, unit="ms", method="given")
    rate = Measured(name=MeasureName.HEART_RATE, value=None, unit="/min", method="g", reason="one")

    jt, index = measure_jt(qt, qrs, rate, None)

    assert jt.value == pytest.approx(300.0)
    assert index.value is None
    assert index.reason == "one"


def test_jt_index_of_a_worked_example() -> None:
    # 300 · (70 + 100) / 518 = 98.456, by hand from the formula of Rautaharju 1992.
    assert jt_index(300.0, 70.0) == pytest.approx(98.456, abs=0.001)
