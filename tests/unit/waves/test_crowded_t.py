"""T waves close before the P wave of the next beat: a long QT at a high rate."""

from __future__ import annotations

import pytest

from couchside.simulate.calibration import CalibrationEcg, calibration_recording
from couchside.waves import delineate

QT_MS, NEAR_MS = 400.0, 15.0


@pytest.mark.parametrize("rate_per_min", [60.0, 80.0, 88.0, 92.0])
def test_the_slope_of_the_next_p_wave_is_not_the_end_of_t(rate_per_min: float) -> None:
    ecg = CalibrationEcg(rate_per_min=rate_per_min, qt_ms=QT_MS)
    waves = delineate(calibration_recording(ecg).recording)
    assert waves.representative is not None
    overall = waves.representative.overall
    qt_ms = (overall.t_offset - overall.qrs_onset) * 1000.0 / waves.rate_hz
    assert qt_ms == pytest.approx(QT_MS, abs=NEAR_MS)
