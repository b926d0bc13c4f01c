"""A person who does not exist, and a signal whose every number is known."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta, timezone
from typing import Any

import numpy as np
import pytest

from couchside.measures.model import Limits, Measured, MeasureName, Measures
from couchside.quality.model import Assessment, Finding, FindingKind, Verdict
from couchside.recording import (
    STANDARD_LEADS,
    AcquisitionSettings,
    Device,
    OrderReference,
    Origin,
    Patient,
    Placement,
    Recording,
    Sex,
)
from couchside.waves.model import WaveBounds, Waves

RATE_HZ = 100.0
SPIKE_EVERY = 80
SPIKE_FIRST = 30


def spikes_uv(seconds: float, height_uv: float) -> np.ndarray:
    """0 µV but for one sample in 80, from the thirtieth on: R peaks 0.8 s apart."""
    samples = np.zeros(round(seconds * RATE_HZ))
    samples[SPIKE_FIRST::SPIKE_EVERY] = height_uv
    return samples


@pytest.fixture
def make_recording() -> Callable[..., Recording]:
    """Lead k of n has spikes of 100·(k + 1) µV, so that a trace tells which lead it is."""

    def make(
        leads: tuple[str, ...] = STANDARD_LEADS, seconds: float = 10.0, **changes: Any
    ) -> Recording:
        rows = [spikes_uv(seconds, 100.0 * (index + 1)) for index in range(len(leads))]
        facts: dict[str, Any] = {
            "leads": tuple(str(lead) for lead in leads),
            "microvolts": np.stack(rows),
            "rate_hz": RATE_HZ,
            "start": datetime(2025, 3, 14, 9, 12, 33, tzinfo=timezone(timedelta(hours=1))),
            "patient": Patient(
                identifier="4711-0815",
                family_name="Grzybowska",
                given_name="Zofia",
                birth_date=date(1956, 8, 2),
                sex=Sex.FEMALE,
            ),
            "settings": AcquisitionSettings(
                high_pass_hz=0.05, low_pass_hz=150.0, notch_hz=50.0, resolution_uv=1.0
            ),
            "placement": Placement.STANDARD,
            "device": Device(
                manufacturer="Example", model="Cart", serial_number="EX-1", software_version="4.2"
            ),
            "order": OrderReference(accession_number="A-100"),
            "origin": Origin(
                file_name="one.dcm", format_name="dicom", sha256="3fa9c1d2e4b5" * 5, byte_count=9
            ),
        }
        return Recording(**(facts | changes))

    return make


@pytest.fixture
def make_assessment() -> Callable[..., Assessment]:
    """An assessment with findings of the given sentences."""

    def make(
        *sentences: str,
        verdict: Verdict = Verdict.KEEP,
        measures: Measures | None = None,
    ) -> Assessment:
        nothing = np.zeros((12, 0))
        bounds = WaveBounds(onset=nothing, peak=nothing, offset=nothing)
        return Assessment(
            verdict=verdict,
            findings=tuple(
                Finding(
                    kind=FindingKind.MAINS,
                    asks=verdict,
                    sentence=sentence,
                    remedy="Move the cable.",
                    confidence=0.9,
                )
                for sentence in sentences
            ),
            measures=measures or standard_measures(),
            waves=Waves(
                leads=tuple(str(lead) for lead in STANDARD_LEADS),
                rate_hz=RATE_HZ,
                beat_samples=np.zeros(0, dtype=np.int64),
                beat_groups=np.zeros(0, dtype=np.int64),
                p=bounds,
                qrs=bounds,
                t=bounds,
                representative=None,
            ),
            electrode_noise=None,
            code_version="0.1.0",
        )

    return make


def standard_measures() -> Measures:
    """Twelve measures: one without a value, one above its limits, one below."""
    limits = Limits(low=350.0, high=450.0, population="adults", source="Example2001")
    values = [
        Measured(
            name=name,
            value=400.0,
            unit="deg" if name.endswith("axis") else "ms",
            method="test",
            limits=limits,
        )
        for name in MeasureName
    ]
    values[0] = Measured(name=MeasureName.HEART_RATE, value=75.0, unit="/min", method="test")
    values[2] = Measured(
        name=MeasureName.PR_INTERVAL, value=None, unit="ms", method="test", reason="no P wave"
    )
    values[5] = Measured(
        name=MeasureName.QTC_BAZETT, value=480.4, unit="ms", method="Bazett", limits=limits
    )
    values[10] = Measured(
        name=MeasureName.QRS_AXIS, value=-42.0, unit="deg", method="test", limits=limits
    )
    return Measures(values=tuple(values))


@pytest.fixture
def measures() -> Measures:
    """See `standard_measures`."""
    return standard_measures()
