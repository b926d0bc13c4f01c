from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.measures import MeasureName, measure
from couchside.measures.axes import measure_axes
from couchside.recording import Recording
from couchside.simulate.calibration import CalibrationEcg, calibration_recording
from couchside.waves import delineate

LIMB = ("I", "II", "III", "aVF")


def frontal_recording(angle_deg: float, leads: tuple[str, ...] = LIMB) -> Recording:
    """One written lead, seen by the limb leads at an angle of the frontal plane."""
    source = calibration_recording(CalibrationEcg(q_uv=0.0, s_uv=0.0)).recording.get_lead("II")
    first = np.cos(np.radians(angle_deg))
    second = np.cos(np.radians(angle_deg - 60.0))
    weights = {"I": first, "II": second, "III": second - first, "aVF": second - first / 2.0}
    rows = np.array([weights[name] * source for name in leads])
    rows = rows + np.random.default_rng(2).normal(0.0, 1.0, rows.shape)
    return Recording(leads=leads, microvolts=rows, rate_hz=500.0)


def qrs_axis(recording: Recording) -> float | None:
    return measure_axes(delineate(recording))[1].value


@pytest.mark.parametrize("angle_deg", [-75.0, -20.0, 10.0, 55.0, 100.0, 170.0])
def test_all_three_axes_follow_the_vector(angle_deg: float) -> None:
    for measured in measure_axes(delineate(frontal_recording(angle_deg))):
        # 1 µV of noise against the 60 µV mean of a small P wave in one lead.
        assert measured.value == pytest.approx(angle_deg, abs=3.0)


@pytest.mark.parametrize("pair", [("I", "aVF"), ("I", "II"), ("I", "III"), ("II", "III")])
def test_two_limb_leads_suffice(pair: tuple[str, ...]) -> None:
    assert qrs_axis(frontal_recording(40.0, pair)) == pytest.approx(40.0, abs=2.0)


def test_without_limb_leads_there_is_no_axis() -> None:
    recording = frontal_recording(40.0, ("II",))
    measured = measure_axes(delineate(recording))[1]
    assert measured.value is None
    assert measured.reason == "the limb leads are missing"


def test_areas_within_noise_point_nowhere() -> None:
    recording = frontal_recording(40.0, ("I", "II"))
    rows = np.array(recording.microvolts) * 0.0
    chance = np.random.default_rng(4)
    rows += chance.normal(0.0, 1.0, rows.shape)
    chest = 10.0 * recording.microvolts[:1]
    silent = replace(recording, leads=("I", "II", "V2"), microvolts=np.vstack((rows, chest)))
    measures = measure(silent, delineate(silent))
    reason = measures.get(MeasureName.QRS_AXIS).reason
    assert reason.startswith("indeterminate")
