from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.measures import MeasureName, measure
from couchside.recording import Recording
from couchside.simulate.calibration import CalibrationEcg, calibration_recording
from couchside.waves import delineate


@pytest.fixture(scope="module")
def written() -> Recording:
    return calibration_recording(CalibrationEcg()).recording


def test_a_written_beat_is_measured(written: Recording) -> None:
    measures = measure(written, delineate(written))
    ecg = CalibrationEcg()
    # What IEC 60601-2-25 allows on calibration signals for the mean, 10 ms for P and PR and 12 ms
    # for QT; QRS 15 ms, for the rule leans towards experts, who mark it wider.
    for name, expected_ms, tolerance_ms in (
        (MeasureName.P_DURATION, ecg.p_ms, 10.0),
        (MeasureName.PR_INTERVAL, ecg.pr_ms, 10.0),
        (MeasureName.QRS_DURATION, ecg.qrs_ms, 15.0),
        (MeasureName.QT_INTERVAL, ecg.qt_ms, 12.0),
    ):
        assert measures.get(name).value == pytest.approx(expected_ms, abs=tolerance_ms)
    assert measures.get(MeasureName.HEART_RATE).value == pytest.approx(60.0, abs=0.1)
    assert measures.get(MeasureName.HEART_RATE).unit == "/min"


def test_without_a_p_wave_its_measures_say_so() -> None:
    recording = calibration_recording(CalibrationEcg(p_uv=0.0)).recording
    measures = measure(recording, delineate(recording))
    for name in (MeasureName.P_DURATION, MeasureName.PR_INTERVAL, MeasureName.P_AXIS):
        assert measures.get(name).value is None
        assert measures.get(name).reason == "no P wave was found"
    assert measures.get(MeasureName.QT_INTERVAL).value is not None


def test_without_beats_every_measure_says_so(written: Recording) -> None:
    still = replace(written, microvolts=np.zeros_like(written.microvolts))
    measures = measure(still, delineate(still))
    assert [measured.value for measured in measures] == [None] * len(measures.values)
    assert measures.get(MeasureName.QRS_DURATION).reason == "no beats were found"
    assert measures.get(MeasureName.QTC_BAZETT).reason == "no beats were found"


def test_one_beat_has_intervals_but_no_rate(written: Recording) -> None:
    one = replace(written, microvolts=written.microvolts[:, :700])
    waves = delineate(one)
    assert waves.beat_count == 1
    measures = measure(one, waves)
    assert measures.get(MeasureName.HEART_RATE).reason == "only one beat was found"
    assert measures.get(MeasureName.QTC_FRIDERICIA).reason == "only one beat was found"
    assert measures.get(MeasureName.QRS_DURATION).value is not None


def test_qtc_is_the_qt_at_sixty(written: Recording) -> None:
    measures = measure(written, delineate(written))
    qt_ms = measures.get(MeasureName.QT_INTERVAL).value
    for name in (
        MeasureName.QTC_BAZETT,
        MeasureName.QTC_FRIDERICIA,
        MeasureName.QTC_FRAMINGHAM,
        MeasureName.QTC_HODGES,
    ):
        measured = measures.get(name)
        assert measured.value == pytest.approx(qt_ms, abs=1.0)
        assert measured.method.split(",")[0].casefold() == name.removeprefix("qtc_")
