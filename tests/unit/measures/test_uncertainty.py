from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.measures import Measured, MeasureName, measure
from couchside.measures.intervals import measure_intervals, measure_qtc
from couchside.measures.qtc_choice import measure_jt
from couchside.measures.uncertainty import (
    LONE_BEAT_NOISE_UV,
    MOST_MS,
    Scatter,
    find_half_width,
    find_scatters,
)
from couchside.measures.uncertainty_weights import FEW_LEADS_FACTORS, WEIGHTS
from couchside.recording import Recording
from couchside.simulate.calibration import CalibrationEcg, Stress, calibration_recording
from couchside.waves import Waves, delineate

DrawLead = Callable[..., NDArray[np.float64]]
MakeWaves = Callable[..., Waves]
INTERVALS = tuple(MOST_MS)


@pytest.fixture
def lead(draw_lead: DrawLead) -> NDArray[np.float64]:
    return draw_lead((1000.0, 100.0), p_uv=100.0, t_uv=300.0)


def _measure_intervals(waves: Waves) -> tuple[Measured, ...]:
    return measure_intervals(waves, find_scatters(waves))


def test_quiet_leads_that_agree_leave_the_constant(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    waves = make_waves({"I": lead, "II": lead, "V1": lead})
    quiet = Scatter(leads_ms=0.0, beats_ms=0.0, noise_ms=0.0, lead_count=3)
    for name in INTERVALS:
        assert find_scatters(waves)[name] == quiet
    for measured in _measure_intervals(waves):
        assert measured.uncertainty == pytest.approx(WEIGHTS[measured.name][0])


def test_noise_counts_against_the_size_of_the_wave(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    waves = make_waves({"I": lead, "II": lead}, noise_uv=50.0)
    scatter = find_scatters(waves)[MeasureName.QRS_DURATION]
    assert scatter is not None
    # 50 µV over √(4 − 1) beats, against 1000 µV over 100 ms, at both ends.
    assert scatter.noise_ms == pytest.approx(sqrt(2) * 50.0 / sqrt(3) / 1000.0 * 100.0, rel=0.01)


def test_leads_that_disagree_widen_the_qrs(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    waves = make_waves({"I": lead, "II": lead}, qrs_spans=[(400, 500), (410, 480)])
    scatter = find_scatters(waves)[MeasureName.QRS_DURATION]
    assert scatter is not None
    # Two onsets 10 ms apart have an SD of 5, two ends 20 ms apart one of 10.
    assert scatter.leads_ms == pytest.approx(sqrt(5.0**2 + 10.0**2))


def test_a_lone_beat_has_the_noise_that_is_assumed_of_it(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    waves = make_waves({"I": lead})
    assert waves.representative is not None
    alone = replace(waves, representative=replace(waves.representative, beat_count=1))
    scatter = find_scatters(alone)[MeasureName.QRS_DURATION]
    assert scatter is not None
    assert scatter.noise_ms == pytest.approx(
        sqrt(2) * LONE_BEAT_NOISE_UV / 1000.0 * 100.0, rel=0.01
    )


def test_what_is_too_uncertain_is_withheld_and_says_so(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    noisy = make_waves({"I": lead, "II": lead}, noise_uv=80.0)
    p, pr, qrs, _ = _measure_intervals(noisy)
    assert p.value is None
    assert p.uncertainty is None
    assert p.reason.startswith("too uncertain: ± ")
    assert p.reason.endswith(f"beyond ± {MOST_MS[MeasureName.P_DURATION]:.0f} ms")
    assert qrs.value == pytest.approx(100.0)
    assert pr.value is None


def test_a_qt_that_is_withheld_takes_qtc_and_jt_along(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    noisy = make_waves({"I": lead, "II": lead}, noise_uv=400.0)
    qrs, qt = _measure_intervals(noisy)[-2:]
    assert qt.reason.startswith("too uncertain")
    rate = Measured(name=MeasureName.HEART_RATE, value=60.0, unit="/min", method="given")
    for each in (*measure_qtc(noisy, qt), *measure_jt(qt, qrs, rate, None)):
        assert each.value is None
        assert each.reason == qt.reason


def test_boundaries_that_no_lead_has_are_not_relied_on(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    waves = make_waves({"I": lead}, qrs_spans=[(np.nan, np.nan)])
    *_, qrs, qt = _measure_intervals(waves)
    assert qrs.reason == qt.reason == "too uncertain: no lead has both boundaries of its own"


def test_without_a_p_wave_the_reason_stays(
    lead: NDArray[np.float64], make_waves: MakeWaves
) -> None:
    p, *_ = _measure_intervals(make_waves({"I": lead}, has_p=False, noise_uv=500.0))
    assert p.reason == "no P wave was found"


def test_half_widths_are_roots_of_sums_of_squares() -> None:
    scatter = Scatter(leads_ms=3.0, beats_ms=2.0, noise_ms=1.0, lead_count=12)
    for name, (constant, leads, beats, noise) in WEIGHTS.items():
        expected = sqrt(constant**2 + (3 * leads) ** 2 + (2 * beats) ** 2 + noise**2)
        assert find_half_width(name, scatter) == pytest.approx(expected)


def test_one_or_two_leads_are_less_certain() -> None:
    three = Scatter(leads_ms=3.0, beats_ms=2.0, noise_ms=1.0, lead_count=3)
    for name, factor in FEW_LEADS_FACTORS.items():
        assert factor >= 1.0
        assert find_half_width(name, replace(three, lead_count=2)) == pytest.approx(
            factor * find_half_width(name, three)
        )
    assert max(FEW_LEADS_FACTORS.values()) > 1.0


def test_qtc_takes_its_half_width_from_qt(lead: NDArray[np.float64], make_waves: MakeWaves) -> None:
    waves = make_waves({"I": lead}, beats_s=(1.0, 1.64, 2.28))
    qt = Measured(
        name=MeasureName.QT_INTERVAL, value=400.0, unit="ms", method="given", uncertainty=30.0
    )
    by_name = {each.name: each for each in measure_qtc(waves, qt)}
    # RR 0.64 s: Bazett divides by 0.8, the linear formulas only add.
    assert by_name[MeasureName.QTC_BAZETT].uncertainty == pytest.approx(30.0 / 0.8)
    assert by_name[MeasureName.QTC_FRAMINGHAM].uncertainty == pytest.approx(30.0)


def test_more_noise_is_never_less_uncertain() -> None:
    widths = [
        measure(recording, delineate(recording)).get(MeasureName.QT_INTERVAL).uncertainty
        for recording in map(_written, (0.0, 15.0, 40.0))
    ]
    assert all(width is not None for width in widths)
    assert widths == sorted(widths, key=lambda width: width or 0.0)


def _written(noise_rms_uv: float) -> Recording:
    stress = Stress(noise_rms_uv=noise_rms_uv)
    return calibration_recording(CalibrationEcg(), stress=stress).recording
