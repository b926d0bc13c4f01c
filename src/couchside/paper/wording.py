"""What the page says of a recording, in words; what a file leaves out is "not stated"."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from couchside.paper.layouts import Arrangement
from couchside.paper.sizes import (
    STANDARD_GAIN_MM_PER_MV,
    STANDARD_SPEED_MM_PER_S,
    PrintSettings,
)
from couchside.recording import Patient, Placement, Recording, Sex
from couchside.version import __version__

CAUTION = (
    "Couchside is not a medical device. It measures and checks; it does not diagnose. "
    "A clinician reads every ECG."
)
LEAST_LOW_PASS_HZ = 150.0
GREATEST_HIGH_PASS_HZ = 0.05
"""The pass band that a resting ECG needs [AHA2007-I]."""

_WHOLE_SHARE = 0.9
_DAYS_PER_YEAR = 365.2425


def describe_identity(patient: Patient, start: datetime | None) -> list[str]:
    """Number, date of birth with age, and sex."""
    return [
        f"No. {patient.identifier}" if patient.identifier else "number not stated",
        _describe_birth(patient, start),
        "sex not stated" if patient.sex is Sex.NOT_STATED else str(patient.sex),
    ]


def describe_start(start: datetime | None) -> str:
    """Date and time with the zone's offset."""
    if start is None:
        return "date and time not stated"
    moment = start.strftime("%Y-%m-%d  %H:%M:%S")
    offset = start.utcoffset()
    if offset is None:
        return f"{moment}  zone not stated"
    minutes = round(offset.total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    return f"{moment}  UTC{'−' if minutes < 0 else '+'}{hours:02d}:{rest:02d}"


def list_deviations(
    recording: Recording, settings: PrintSettings, arrangement: Arrangement
) -> list[str]:
    """Everything in which the page differs from a standard one, for the banner."""
    low, high = recording.settings.low_pass_hz, recording.settings.high_pass_hz
    limb, chest = settings.limb_gain_mm_per_mv, settings.chest_gain_mm_per_mv
    told = [
        (recording.placement.needs_a_banner, str(recording.placement)),
        (not arrangement.scheme_is_kept, f"not 12 leads: {len(recording.leads)} recorded"),
        (low is not None and low < LEAST_LOW_PASS_HZ, f"low-pass {low:g} Hz" if low else ""),
        (
            high is not None and high > GREATEST_HIGH_PASS_HZ,
            f"high-pass {high:g} Hz" if high else "",
        ),
        (
            settings.speed_mm_per_s != STANDARD_SPEED_MM_PER_S,
            f"speed {settings.speed_mm_per_s:g} mm/s",
        ),
        (
            not settings.has_split_gain and limb != STANDARD_GAIN_MM_PER_MV,
            f"gain {limb:g} mm/mV",
        ),
        (settings.has_split_gain, f"gain limb {limb:g}, chest {chest:g} mm/mV"),
    ]
    return [words for is_told, words in told if is_told and words]


def describe_settings(
    recording: Recording, settings: PrintSettings, arrangement: Arrangement
) -> list[str]:
    """How the recording was taken and how the page is drawn."""
    stated = recording.settings
    return [
        f"{settings.speed_mm_per_s:g} mm/s",
        _describe_gain(settings),
        _describe_edge("high-pass", stated.high_pass_hz),
        _describe_edge("low-pass", stated.low_pass_hz),
        _describe_notch(stated.notch_hz),
        f"{recording.rate_hz:g} samples/s",
        "resolution not stated"
        if stated.resolution_uv is None
        else f"resolution {stated.resolution_uv:.3g} µV",
        _describe_simultaneity(recording),
        _describe_shown(recording, arrangement),
        f"electrode placement {recording.placement}",
    ]


def describe_provenance(recording: Recording) -> list[str]:
    """Order, recorder, file and the version that drew the page."""
    device = recording.device
    name = " ".join(part for part in (device.manufacturer, device.model) if part)
    return [
        f"order {recording.order.accession_number or 'not stated'}",
        f"recorder {name or 'not stated'}",
        f"serial number {device.serial_number or 'not stated'}",
        f"software {device.software_version or 'not stated'}",
        *([f"station {device.station_name}"] if device.station_name else []),
        f"file {short_digest(recording) or 'not stated'}",
        f"Couchside {__version__}",
    ]


def short_digest(recording: Recording) -> str:
    """The first twelve digits of the file's SHA-256, empty where there is no file."""
    return recording.origin.sha256[:12] if recording.origin is not None else ""


def _describe_birth(patient: Patient, start: datetime | None) -> str:
    day = start.date() if start is not None else None
    age = patient.age_years_on(day)
    age_words = "age not stated" if age is None else _describe_age(age)
    if patient.birth_date is None:
        return f"date of birth not stated ({age_words})"
    return f"born {patient.birth_date.isoformat()} ({age_words})"


def _describe_age(age_years: float) -> str:
    if age_years < 0:
        return "age not known: born after the recording"
    if age_years < 1 / 12:
        return _counted(round(age_years * _DAYS_PER_YEAR), "day")
    if age_years < 2:
        return _counted(int(age_years * 12), "month")
    return _counted(int(age_years + 0.5 / _DAYS_PER_YEAR), "year")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _describe_gain(settings: PrintSettings) -> str:
    limb, chest = settings.limb_gain_mm_per_mv, settings.chest_gain_mm_per_mv
    return f"limb leads {limb:g} mm/mV, chest leads {chest:g} mm/mV"


def _describe_edge(words: str, edge_hz: float | None) -> str:
    return f"{words} not stated" if edge_hz is None else f"{words} {edge_hz:g} Hz"


def _describe_notch(notch_hz: float | None) -> str:
    if notch_hz is None:
        return "mains filter not stated"
    return f"mains filter {notch_hz:g} Hz" if notch_hz else "no mains filter"


def _describe_simultaneity(recording: Recording) -> str:
    """Simultaneous is said only where nearly every moment has a sample in every lead."""
    whole = float(np.isfinite(recording.microvolts).all(axis=0).mean())
    return (
        "leads recorded at the same time"
        if whole >= _WHOLE_SHARE
        else "leads not all there at one time"
    )


def _describe_shown(recording: Recording, arrangement: Arrangement) -> str:
    start, end = arrangement.shown_s
    span = f"{start:.4g}–{end:.4g} s of {recording.duration_s:.5g} s"
    if arrangement.column_count == 1:
        return f"shows {span}"
    order = (
        "columns follow in time"
        if arrangement.columns_follow_in_time
        else ("every column begins at the same time")
    )
    return f"shows {span}, {order}"


def is_standard_placement(placement: Placement) -> bool:
    """Whether the electrodes are stated to be at the standard places."""
    return placement is Placement.STANDARD
