"""Small recordings that the tests of the formats share."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import (
    STANDARD_LEADS,
    AcquisitionSettings,
    Device,
    OrderReference,
    Patient,
    Placement,
    Recording,
    Sex,
    twelve_from_eight,
)

RATE_HZ = 500.0


def _beats(sample_count: int) -> NDArray[np.float64]:
    """Bumps of QRS and T once a second, some millivolts high, in µV."""
    time_s = np.arange(sample_count) / RATE_HZ % 1.0
    qrs = 1000.0 * np.exp(-(((time_s - 0.30) / 0.015) ** 2))
    wave_t = 250.0 * np.exp(-(((time_s - 0.55) / 0.05) ** 2))
    return qrs + wave_t


@pytest.fixture
def twelve_leads() -> NDArray[np.float64]:
    """Two seconds of twelve consistent leads, shape (12, 1000), whole microvolts."""
    weights = np.array([0.6, 1.0, -0.6, -0.3, 0.2, 0.8, 1.1, 0.9])
    even = 2 * np.rint(weights[:, None] * _beats(1000)[None, :] / 2)  # so that halves stay whole
    return twelve_from_eight(even)


@pytest.fixture
def full_recording(twelve_leads: NDArray[np.float64]) -> Recording:
    """A recording that states everything a recording can."""
    return Recording(
        leads=STANDARD_LEADS,
        microvolts=twelve_leads,
        rate_hz=RATE_HZ,
        start=datetime(2031, 5, 6, 7, 8, 9, 250_000, tzinfo=timezone(timedelta(hours=5.5))),
        patient=Patient(
            identifier="W-0042",
            family_name="Vörösmarty",
            given_name="Ōe Noelle",
            birth_date=date(1961, 2, 3),
            stated_age_years=70.0,
            sex=Sex.FEMALE,
        ),
        settings=AcquisitionSettings(
            high_pass_hz=0.05, low_pass_hz=150.0, notch_hz=50.0, resolution_uv=1.0
        ),
        placement=Placement.HIGH,
        device=Device(
            manufacturer="Example Works",
            model="Bench",
            serial_number="7",
            software_version="1.2",
            station_name="ROOM 3",
        ),
        order=OrderReference(
            accession_number="A-17", requested_procedure_id="P-17", study_uid="2.25.4711"
        ),
        remarks=("Patient shivered.", "Second attempt"),
    )
