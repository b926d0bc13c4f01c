"""What a recording states about itself, as the JSON of assessment and comparison have it."""

from __future__ import annotations

import numpy as np

from couchside.recording import Origin, Patient, Recording, Sex
from couchside.service.json_values import JsonObject, number, text


def file_to_json(origin: Origin | None, path: str | None) -> JsonObject | None:
    """The bytes it was read from; `path` is where they lie, as whoever asked named it."""
    if origin is None:
        return None
    return {
        "path": path,
        "name": origin.file_name,
        "format": origin.format_name,
        "sha256": origin.sha256,
        "byte_count": origin.byte_count,
    }


def recording_to_json(recording: Recording) -> JsonObject:
    """Its samples in numbers, the person, the settings, the device and the order."""
    return {
        "recording": _samples(recording),
        "patient": _patient(recording),
        "settings": {
            "high_pass_hz": number(recording.settings.high_pass_hz),
            "low_pass_hz": number(recording.settings.low_pass_hz),
            "notch_hz": number(recording.settings.notch_hz),
            "resolution_uv": number(recording.settings.resolution_uv),
        },
        "device": {
            "manufacturer": text(recording.device.manufacturer),
            "model": text(recording.device.model),
            "serial_number": text(recording.device.serial_number),
            "software_version": text(recording.device.software_version),
            "station_name": text(recording.device.station_name),
        },
        "order": {
            "accession_number": text(recording.order.accession_number),
            "requested_procedure_id": text(recording.order.requested_procedure_id),
            "study_uid": text(recording.order.study_uid),
        },
    }


def _samples(recording: Recording) -> JsonObject:
    return {
        "leads": [str(lead) for lead in recording.leads],
        "rate_hz": number(recording.rate_hz),
        "sample_count": recording.sample_count,
        "missing_sample_count": int(np.isnan(recording.microvolts).sum()),
        "duration_s": number(recording.duration_s),
        "start": recording.start.isoformat() if recording.start else None,
        "placement": recording.placement.value,
        "remarks": list(recording.remarks),
    }


def _patient(recording: Recording) -> JsonObject:
    patient = recording.patient
    day = recording.start.date() if recording.start else None
    stated: JsonObject = {
        "identifier": text(patient.identifier),
        "family_name": text(patient.family_name),
        "given_name": text(patient.given_name),
        "birth_date": patient.birth_date.isoformat() if patient.birth_date else None,
        "age_years": _age(patient.age_years_on(day)),
        "sex": _sex(patient),
    }
    present = [name for name, value in stated.items() if value is not None]
    return {**stated, "fields_present": present}


def _age(years: float | None) -> float | None:
    return None if years is None else round(years, 2)


def _sex(patient: Patient) -> str | None:
    return None if patient.sex is Sex.NOT_STATED else patient.sex.value
