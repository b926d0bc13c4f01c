"""What the page says of a recording, in words; what a file leaves out is "not stated"."""

from __future__ import annotations

from datetime import date, datetime

import numpy as np

from couchside.paper.layouts import Arrangement, keeps_scheme, list_further_leads
from couchside.paper.sizes import (
    STANDARD_GAIN_MM_PER_MV,
    STANDARD_SPEED_MM_PER_S,
    LimbOrder,
    PrintSettings,
)
from couchside.recording import Patient, Recording, Sex
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
    return f"{start:%Y-%m-%d  %H:%M:%S}  {_describe_zone(start)}"


def describe_moment(moment: datetime) -> str:
    """Date and time to the minute with the zone's offset."""
    return f"{moment:%Y-%m-%d %H:%M} {_describe_zone(moment)}"


def _describe_zone(moment: datetime) -> str:
    offset = moment.utcoffset()
    if offset is None:
        return "zone not stated"
    minutes = round(offset.total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    return f"UTC{'−' if minutes < 0 else '+'}{hours:02d}:{rest:02d}" if minutes else "UTC"


def list_deviations(recording: Recording, settings: PrintSettings | None) -> list[str]:
    """Everything in which recording or page differs from a standard one, for the banner.

    `settings` are None where each drawing on the page states its own speed and gain.
    """
    return [
        *_deviations_of_leads(recording),
        *_deviations_of_filters(recording),
        *(_deviations_of_scale(settings) if settings is not None else []),
    ]


def _deviations_of_leads(recording: Recording) -> list[str]:
    told = [str(recording.placement)] if recording.placement.needs_a_banner else []
    further = list_further_leads(recording)
    if not keeps_scheme(recording):
        told.append(f"not twelve leads but {len(recording.leads)}")
    elif further:
        told.append(f"further leads {', '.join(further)}")
    return told


def _deviations_of_filters(recording: Recording) -> list[str]:
    low, high = recording.settings.low_pass_hz, recording.settings.high_pass_hz
    told = []
    if low is not None and low < LEAST_LOW_PASS_HZ:
        told.append(f"low-pass {low:g} Hz")
    if high is not None and high > GREATEST_HIGH_PASS_HZ:
        told.append(f"high-pass {high:g} Hz")
    return told


def _deviations_of_scale(settings: PrintSettings) -> list[str]:
    limb, chest = settings.gains.limb_mm_per_mv, settings.gains.chest_mm_per_mv
    told = []
    if settings.speed_mm_per_s != STANDARD_SPEED_MM_PER_S:
        told.append(f"speed {settings.speed_mm_per_s:g} mm/s")
    if settings.gains.are_split:
        told.append(f"gain limb {limb:g}, chest {chest:g} mm/mV")
    elif limb != STANDARD_GAIN_MM_PER_MV:
        told.append(f"gain {limb:g} mm/mV")
    return told


def describe_settings(
    recording: Recording, settings: PrintSettings | None, shown: str
) -> list[str]:
    """How the recording was taken and how the page is drawn; `shown` says what of it.

    `settings` are None where each drawing on the page states its own speed and gain.
    """
    stated = recording.settings
    has_cabrera_order = settings is not None and settings.limb_order is LimbOrder.CABRERA
    return [
        *(_describe_scale(settings) if settings is not None else []),
        _describe_edge("high-pass", stated.high_pass_hz),
        _describe_edge("low-pass", stated.low_pass_hz),
        _describe_notch(stated.notch_hz),
        f"{recording.rate_hz:g} samples/s",
        "resolution not stated"
        if stated.resolution_uv is None
        else f"resolution {stated.resolution_uv:.3g} µV",
        _describe_simultaneity(recording),
        shown,
        f"electrode placement {recording.placement}",
        *(["limb leads in Cabrera order"] if has_cabrera_order else []),
    ]


def describe_shown(recording: Recording, arrangement: Arrangement) -> str:
    """Which stretch of the recording the page shows, and how its columns follow."""
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


def describe_provenance(recording: Recording) -> list[str]:
    """Order, recorder, file and the version that drew the page."""
    device = recording.device
    name = " ".join(part for part in (device.manufacturer, device.model) if part)
    return [
        f"order {recording.order.accession_number or 'not stated'}",
        f"file {short_digest(recording) or 'not stated'}",
        f"Couchside {__version__}",
        f"recorder {name or 'not stated'}",
        f"serial number {device.serial_number or 'not stated'}",
        f"software {device.software_version or 'not stated'}",
        *([f"station {device.station_name}"] if device.station_name else []),
    ]


def short_digest(recording: Recording) -> str:
    """The first twelve digits of the file's SHA-256, empty where there is no file."""
    return recording.origin.sha256[:12] if recording.origin is not None else ""


def _describe_birth(patient: Patient, start: datetime | None) -> str:
    if patient.birth_date is None:
        stated = patient.stated_age_years
        age = "age not stated" if stated is None else _describe_stated_age(stated)
        return f"date of birth not stated ({age})"
    age = "age not known" if start is None else _describe_age(patient.birth_date, start.date())
    return f"born {patient.birth_date.isoformat()} ({age})"


def _describe_age(born: date, day: date) -> str:
    """Age by the calendar: days in the first month, months in the first two years, then years."""
    months = (day.year - born.year) * 12 + day.month - born.month - (day.day < born.day)
    if day < born:
        return "born after the recording"
    if months < 1:
        return _counted((day - born).days, "day")
    return _counted(months, "month") if months < 24 else _counted(months // 12, "year")


def _describe_stated_age(age_years: float) -> str:
    if age_years < 1 / 12:
        return _counted(round(age_years * _DAYS_PER_YEAR), "day")
    if age_years < 2:
        return _counted(round(age_years * 12), "month")
    return _counted(int(age_years), "year")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _describe_scale(settings: PrintSettings) -> list[str]:
    limb, chest = settings.gains.limb_mm_per_mv, settings.gains.chest_mm_per_mv
    return [
        f"{settings.speed_mm_per_s:g} mm/s",
        f"limb leads {limb:g} mm/mV, chest leads {chest:g} mm/mV",
    ]


def _describe_edge(words: str, edge_hz: float | None) -> str:
    return f"{words} not stated" if edge_hz is None else f"{words} {edge_hz:g} Hz"


def _describe_notch(notch_hz: float | None) -> str:
    if notch_hz is None:
        return "mains filter not stated"
    return f"mains filter {notch_hz:g} Hz" if notch_hz else "no mains filter"


def _describe_simultaneity(recording: Recording) -> str:
    """Simultaneous is said only where nearly every moment has a sample in every lead."""
    has_sample = np.isfinite(recording.microvolts)
    whole = float(has_sample[has_sample.any(axis=1)].all(axis=0).mean())
    if len(recording.leads) == 1:
        return "one lead"
    return (
        "leads recorded at the same time"
        if whole >= _WHOLE_SHARE
        else "leads not all recorded at the same time"
    )
