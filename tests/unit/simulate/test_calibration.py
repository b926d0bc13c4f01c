from __future__ import annotations

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.simulate.calibration import (
    CALIBRATION_SET,
    STANDARD_STRESSES,
    CalibrationEcg,
    calibration_recording,
    impulse_recording,
    sine_recording,
    triangle_recording,
)
from couchside.simulate.recorder import Recorder


def test_a_written_beat_holds_its_amplitudes_and_intervals() -> None:
    written = calibration_recording(CalibrationEcg(st_uv=100.0), rate_hz=1000.0)
    lead = written.recording.get_lead("II")
    row = written.recording.leads.index("II")
    onset = round(written.qrs.onset[row, 0])
    assert lead[round(written.p.peak[row, 0])] == pytest.approx(150.0, abs=1.0)
    assert lead[round(written.qrs.peak[row, 0])] == pytest.approx(1200.0, abs=1.0)
    assert lead[onset + 101 : onset + 219].tolist() == [100.0] * 118
    assert lead[round(written.t.peak[row, 0])] == pytest.approx(300.0, abs=1.0)
    assert np.all(written.qrs.offset - written.qrs.onset == pytest.approx(100.0))
    assert np.all(written.t.offset - written.qrs.onset == pytest.approx(400.0))
    assert np.all(written.qrs.onset - written.p.onset == pytest.approx(178.0))


def test_an_absent_wave_has_no_bounds() -> None:
    written = calibration_recording(CalibrationEcg(p_uv=0.0, q_uv=0.0))
    assert np.isnan(written.p.onset).all()
    assert np.all(written.qrs.offset - written.qrs.onset == pytest.approx(40.0))


@pytest.mark.parametrize("name", sorted(STANDARD_STRESSES))
def test_a_stress_adds_what_it_says(name: str) -> None:
    stress = STANDARD_STRESSES[name]
    plain = calibration_recording(CalibrationEcg()).recording.get_lead("V2")
    stressed = calibration_recording(CalibrationEcg(), stress=stress).recording.get_lead("V2")
    added = stressed - plain
    assert added.std() == pytest.approx(
        np.hypot(stress.noise_rms_uv, (stress.mains_uv + stress.wander_uv) / np.sqrt(8.0)),
        rel=0.02,
    )


@pytest.mark.parametrize(("high_pass_hz", "displacement_uv"), [(0.05, 92.8), (0.5, 808.8)])
def test_the_impulse_leaves_the_displacement_of_a_first_order_filter(
    high_pass_hz: float, displacement_uv: float
) -> None:
    """3 mV·(1 − exp(−0.2π f)) is 92.8 and 808.8 µV; the sampled filter is 1 sample in 50 late."""
    recording = impulse_recording(Recorder(high_pass_hz=high_pass_hz, low_pass_hz=400.0))
    lead = recording.get_lead("I")
    after = lead[round(2.1 * recording.rate_hz)]
    assert after == pytest.approx(-displacement_uv, rel=0.02)


@pytest.mark.parametrize("edge_hz", [40.0, 100.0, 150.0])
def test_the_low_pass_halves_the_power_at_its_edge(edge_hz: float) -> None:
    recorder = Recorder(low_pass_hz=edge_hz, resolution_uv=0.1)
    recording = sine_recording(recorder, frequency_hz=edge_hz, peak_to_peak_uv=2000.0)
    middle = recording.get_lead("V3")[1000:-1000]
    assert middle.std() * np.sqrt(2.0) == pytest.approx(1000.0 / np.sqrt(2.0), rel=0.01)


def test_a_notch_takes_out_its_frequency_alone() -> None:
    recorder = Recorder(notch_hz=50.0, low_pass_hz=400.0, resolution_uv=0.1)
    spread = {
        hertz: sine_recording(recorder, frequency_hz=hertz, peak_to_peak_uv=1000.0)
        .get_lead("II")[2500:-500]
        .std()
        for hertz in (10.0, 50.0)
    }
    assert spread[50.0] < 1.0
    assert spread[10.0] == pytest.approx(1000.0 / np.sqrt(8.0), rel=0.01)


def test_triangles_keep_their_height_through_a_wide_band() -> None:
    recorder = Recorder(low_pass_hz=400.0, rate_hz=1000.0)
    recording = triangle_recording(recorder, width_ms=200.0, peak_uv=1500.0)
    assert recording.get_lead("V1").max() == pytest.approx(1500.0, rel=0.05)


@pytest.mark.parametrize("name", sorted(CALIBRATION_SET))
def test_every_written_ecg_is_level_before_its_qrs(name: str) -> None:
    written = calibration_recording(CALIBRATION_SET[name], rate_hz=1000.0)
    onset = int(written.qrs.onset[0, 1])
    before = written.recording.microvolts[:, onset - 8 : onset]
    assert np.abs(before).max() == 0.0
    assert np.abs(written.recording.microvolts[:, onset + 1 : onset + 12]).max() > 5.0


def test_waves_that_do_not_fit_are_refused() -> None:
    with pytest.raises(InvalidInput, match="must fit into QT"):
        CalibrationEcg(qt_ms=250.0)
