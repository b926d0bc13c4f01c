"""The recorder's own pulse: 1.0 mV ± 5 % [EC11], 200 ms, time base ± 5 % (from memory, EC11)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.quality.calibration_pulse import CalibrationCheck, check_calibration
from couchside.recording import STANDARD_LEADS, Recording
from couchside.simulate import get_scenario, simulate


def make_pulse(
    *,
    height_uv: float = 1000.0,
    width_ms: float = 200.0,
    rate_hz: float = 500.0,
    noise_uv: float = 5.0,
    time_constant_s: float = 3.2,
) -> Recording:
    """Two pulses in every lead; the level sinks with the time constant of a high-pass."""
    seconds = np.arange(round(4.0 * rate_hz)) / rate_hz
    wave = np.zeros(seconds.size)
    for start in (1.0, 2.5):
        for moment, step in ((start, height_uv), (start + width_ms / 1000.0, -height_uv)):
            since = seconds - moment
            decay = np.exp(-np.clip(since, 0.0, None) / time_constant_s)
            wave += np.where(since >= -1e-9, step * decay, 0.0)
    noise = np.random.default_rng(4).normal(0.0, noise_uv, (len(STANDARD_LEADS), seconds.size))
    return Recording(leads=tuple(STANDARD_LEADS), microvolts=wave + noise, rate_hz=rate_hz)


def say(check: CalibrationCheck) -> set[str]:
    return {sentence for lead in check.leads for sentence in lead.failures}


@pytest.mark.parametrize("rate_hz", [250.0, 500.0, 1000.0])
def test_a_right_pulse_is_measured_and_passes(rate_hz: float) -> None:
    check = check_calibration(make_pulse(rate_hz=rate_hz))
    assert check.has_passed
    for lead in check.leads:
        assert lead.amplitude_uv == pytest.approx(1000.0, abs=15.0)
        assert lead.width_ms == pytest.approx(200.0, abs=1000.0 / rate_hz)
        assert lead.rise_ms is not None
        assert 0.0 < lead.rise_ms <= 1000.0 / rate_hz


@pytest.mark.parametrize(
    ("height_uv", "passes"), [(930.0, False), (965.0, True), (1035.0, True), (1080.0, False)]
)
def test_the_height_may_be_wrong_by_five_per_cent(height_uv: float, passes: bool) -> None:  # noqa: FBT001
    check = check_calibration(make_pulse(height_uv=height_uv))
    assert check.has_passed is passes
    assert passes or f"the pulse is {height_uv / 1000:.2f} mV high, not 1.00 mV ± 5 %" in say(check)


@pytest.mark.parametrize(
    ("width_ms", "passes"), [(186.0, False), (194.0, True), (206.0, True), (214.0, False)]
)
def test_the_time_base_may_be_wrong_by_five_per_cent(width_ms: float, passes: bool) -> None:  # noqa: FBT001
    check = check_calibration(make_pulse(width_ms=width_ms))
    assert check.has_passed is passes
    assert passes or any("ms long, not 200 ms" in sentence for sentence in say(check))


def test_one_bad_lead_fails_and_is_named() -> None:
    recording = make_pulse()
    samples = recording.microvolts.copy()
    samples[3] *= 0.5
    samples[7] = np.nan
    check = check_calibration(replace(recording, microvolts=samples))
    assert not check.has_passed
    assert [each.lead for each in check.leads if not each.has_passed] == [
        recording.leads[3],
        recording.leads[7],
    ]


def test_a_missing_pulse_or_too_few_samples_say_why() -> None:
    flat = make_pulse(height_uv=0.0)
    assert say(check_calibration(flat)) == {"no pulse of about 1 mV and 200 ms was found"}
    coarse = make_pulse(rate_hz=50.0)
    assert say(check_calibration(coarse)) == {
        "50 samples a second are too few to measure a pulse by"
    }


def test_a_heart_is_no_pulse() -> None:
    check = check_calibration(simulate(get_scenario("good")).recording)
    assert not any(lead.has_passed for lead in check.leads)
