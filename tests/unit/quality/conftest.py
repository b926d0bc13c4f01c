"""A plain synthetic heart at ten electrodes, to which the tests add one fault at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import (
    ELECTRODES,
    STANDARD_LEADS,
    AcquisitionSettings,
    Electrode,
    Patient,
    Recording,
    Sex,
    leads_from_potentials,
)

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]

RATE_HZ = 500.0
DURATION_S = 10.0
_WAVES = (
    # centre s after the R peak, width s, height µV
    (-0.16, 0.020, 130.0),
    (-0.028, 0.008, -90.0),
    (0.0, 0.010, 1000.0),
    (0.028, 0.009, -220.0),
    (0.27, 0.045, 280.0),
)
_AT_ELECTRODE = {
    Electrode.RA: -0.55,
    Electrode.LA: 0.15,
    Electrode.LL: 0.45,
    Electrode.RL: 0.43,
    Electrode.C1: -0.45,
    Electrode.C2: 0.2,
    Electrode.C3: 0.7,
    Electrode.C4: 1.2,
    Electrode.C5: 1.15,
    Electrode.C6: 0.9,
}
"""Share of the heart's potential at each electrode; gives usual leads of usual size."""


def heart_potentials(rate_hz: float = RATE_HZ, duration_s: float = DURATION_S) -> FloatArray:
    """Potentials of shape (electrode, sample) in µV: 71 beats/min with P, QRS and T."""
    time_s = np.arange(round(rate_hz * duration_s)) / rate_hz
    beat = np.zeros_like(time_s)
    for peak_s in np.arange(0.5, duration_s + 1.0, 0.845):
        for centre_s, width_s, height_uv in _WAVES:
            beat += height_uv * np.exp(-0.5 * ((time_s - peak_s - centre_s) / width_s) ** 2)
    shares = np.array([_AT_ELECTRODE[electrode] for electrode in ELECTRODES])
    noise = np.random.default_rng(7).normal(0.0, 4.0, (len(ELECTRODES), len(time_s)))
    return shares[:, None] * beat + noise


@pytest.fixture
def make_recording() -> MakeRecording:
    """Build a recording; `at` adds µV at electrodes, `leads` and `patient` change what it holds."""

    def make(
        *,
        at: dict[Electrode, FloatArray] | None = None,
        leads: tuple[str, ...] = STANDARD_LEADS,
        patient: Patient | None = None,
        rate_hz: float = RATE_HZ,
        duration_s: float = DURATION_S,
    ) -> Recording:
        potentials = heart_potentials(rate_hz, duration_s)
        for electrode, microvolts in (at or {}).items():
            potentials[ELECTRODES.index(electrode)] += microvolts
        return Recording(
            leads=tuple(map(str, leads)),
            microvolts=leads_from_potentials(potentials, leads),
            rate_hz=rate_hz,
            start=datetime(2026, 3, 2, 9, 30),  # noqa: DTZ001 – files state no zone
            patient=patient or _PATIENT,
            settings=AcquisitionSettings(
                high_pass_hz=0.05, low_pass_hz=150.0, notch_hz=0.0, resolution_uv=1.0
            ),
        )

    return make


@pytest.fixture
def time_s() -> FloatArray:
    """Times of the samples of a recording of ten seconds."""
    return np.arange(round(RATE_HZ * DURATION_S)) / RATE_HZ


_PATIENT = Patient(
    identifier="Q-0001",
    family_name="Fernhollow",
    given_name="Ines",
    birth_date=date(1961, 5, 4),
    sex=Sex.FEMALE,
)
