"""Voltages and their published limits, on beats that are drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.measures.amplitudes import measure_leads
from couchside.measures.model import Measured, MeasureName, Standing
from couchside.measures.voltages import measure_voltages
from couchside.recording import STANDARD_LEADS, Patient, Placement, Recording, Sex
from couchside.waves import Waves

Draw = Callable[..., NDArray[np.float64]]
Make = Callable[..., Waves]

QRS = Measured(name=MeasureName.QRS_DURATION, value=100.0, unit="ms", method="drawn")


def _recording(
    *, sex: Sex = Sex.MALE, age: float | None = 50.0, placement: Placement = Placement.STANDARD
) -> Recording:
    return Recording(
        leads=("I",),
        microvolts=np.zeros((1, 10)),
        rate_hz=500.0,
        start=datetime(2026, 1, 5, 9, 0),  # noqa: DTZ001 - a recorder's own clock
        patient=Patient(sex=sex, stated_age_years=age),
        placement=placement,
    )


@pytest.fixture
def measure_drawn(draw_lead: Draw, make_waves: Make) -> Callable[..., dict[MeasureName, Measured]]:
    """Measures a beat with 0.2 mV of R in every lead, but what is given as (R µV, S µV)."""

    def measure(
        recording: Recording, without: Sequence[str] = (), **given: tuple[float, float]
    ) -> dict[MeasureName, Measured]:
        rows = {}
        for lead in STANDARD_LEADS:
            r_uv, s_uv = given.get(lead.value, (200.0, 0.0))
            parts = [(r_uv, 50.0)] if r_uv else []
            rows[lead.value] = draw_lead(*parts, *([(s_uv, 50.0)] if s_uv else []))
        leads = measure_leads(make_waves({n: row for n, row in rows.items() if n not in without}))
        return {each.name: each for each in measure_voltages(leads, QRS, recording)}

    return measure


def test_sokolow_lyon_adds_s_in_v1_to_the_taller_r(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(), V1=(100, -1500), V5=(1800, 0), V6=(2100, 0))

    voltage = measured[MeasureName.SOKOLOW_LYON]
    assert voltage.value == pytest.approx(3.6, rel=0.02)
    assert voltage.standing is Standing.ABOVE
    assert voltage.limits is not None
    assert "≥" in voltage.limits.source


@pytest.mark.parametrize(
    ("sex", "high", "product"),
    [(Sex.MALE, 2.8, 240.0), (Sex.FEMALE, 2.0, 320.0)],
)
def test_cornell_depends_on_sex(
    sex: Sex,
    high: float,
    product: float,
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(sex=sex), aVL=(900, 0), V3=(300, -1500))

    voltage = measured[MeasureName.CORNELL_VOLTAGE]
    assert voltage.value == pytest.approx(2.4, rel=0.02)
    assert voltage.limits is not None
    assert voltage.limits.high == high
    assert measured[MeasureName.CORNELL_PRODUCT].value == pytest.approx(product, rel=0.02)


def test_cornell_product_needs_the_sex(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(sex=Sex.NOT_STATED))

    assert measured[MeasureName.CORNELL_PRODUCT].value is None
    assert "0.8 mV" in measured[MeasureName.CORNELL_PRODUCT].reason
    assert measured[MeasureName.CORNELL_VOLTAGE].limits is None


def test_qs_counts_as_depth_and_an_absent_wave_adds_nothing(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(), aVL=(0, -300), V3=(0, -1600))

    assert measured[MeasureName.CORNELL_VOLTAGE].value == pytest.approx(1.6, rel=0.02)


def test_low_voltage_is_told_by_the_largest_qrs(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(), V4=(1500, 0))

    limb, chest = (
        measured[MeasureName.LIMB_QRS_VOLTAGE],
        measured[MeasureName.CHEST_QRS_VOLTAGE],
    )
    assert limb.value == pytest.approx(0.2, rel=0.02)
    assert limb.standing is Standing.BELOW
    assert chest.standing is Standing.WITHIN


def test_lead_that_was_not_recorded_is_named(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(), without=["V1"])

    assert measured[MeasureName.SOKOLOW_LYON].reason == "lead V1 was not recorded"
    assert measured[MeasureName.CHEST_QRS_VOLTAGE].value is None


def test_several_leads_that_were_not_recorded_are_named_together(
    measure_drawn: Callable[..., dict[MeasureName, Measured]],
) -> None:
    measured = measure_drawn(_recording(), without=["aVL", "V3"])

    assert measured[MeasureName.CORNELL_VOLTAGE].reason == "leads aVL, V3 were not recorded"


@pytest.mark.parametrize(
    "recording",
    [_recording(age=9.0), _recording(placement=Placement.TORSO)],
    ids=["child", "torso"],
)
def test_limits_hold_for_adults_with_electrodes_in_their_places(
    recording: Recording, measure_drawn: Callable[..., dict[MeasureName, Measured]]
) -> None:
    assert all(each.limits is None for each in measure_drawn(recording).values())


def test_no_beats_give_reasons() -> None:
    measured = measure_voltages((), QRS, _recording())

    assert {each.reason for each in measured} == {"no beats were found"}
