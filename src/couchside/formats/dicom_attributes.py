"""What a recording says beside its samples, as DICOM attributes."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from pydicom.dataset import Dataset
from pydicom.uid import RE_VALID_UID

from couchside.errors import InvalidInput
from couchside.formats.dicom_codes import (
    ELECTRODE_PLACEMENT,
    OWN_SCHEME,
    PATIENT_STATE,
    PLACEMENT_CODES,
    SUPINE,
)
from couchside.formats.dicom_text import build_code, check_text
from couchside.recording import Device, OrderReference, Patient, Placement, Position, Sex

LONGEST_REMARK = 1024


def add_patient(dataset: Dataset, patient: Patient) -> None:
    """Who was recorded; what is not stated stays empty."""
    family = check_text(patient.family_name, what="the family name", longest=64, forbidden="\\^=")
    given = check_text(patient.given_name, what="the given name", longest=64, forbidden="\\^=")
    dataset.PatientName = f"{family}^{given}" if given else family
    dataset.PatientID = check_text(patient.identifier, what="the patient number", longest=64)
    birth = patient.birth_date
    dataset.PatientBirthDate = "" if birth is None else birth.strftime("%Y%m%d")
    dataset.PatientSex = _SEXES[patient.sex]
    if patient.stated_age_years is not None:
        dataset.PatientAge = _format_age(patient.stated_age_years)


def add_time(dataset: Dataset, start: datetime | None) -> None:
    """When the recording began.

    Raises
    ------
    InvalidInput
        If that is not stated: a DICOM ECG must say it, and a guess would be read as the truth.
    """
    if start is None:
        raise InvalidInput(
            "the recording does not state when it began, which a DICOM ECG must; "
            "state its start, or write it as WFDB or CSV"
        )
    moment = _to_writable_zone(start)
    date, time = moment.strftime("%Y%m%d").zfill(8), moment.strftime("%H%M%S.%f")
    zone = moment.strftime("%z")
    dataset.StudyDate = dataset.ContentDate = date
    dataset.StudyTime = dataset.ContentTime = time
    dataset.AcquisitionDateTime = f"{date}{time}{zone}"
    if zone:
        dataset.TimezoneOffsetFromUTC = zone


def add_order(dataset: Dataset, order: OrderReference) -> None:
    """What ties the recording to its order."""
    accession = check_text(order.accession_number, what="the accession number", longest=16)
    procedure = check_text(
        order.requested_procedure_id, what="the requested procedure number", longest=16
    )
    dataset.AccessionNumber = accession
    dataset.ReferringPhysicianName = ""
    dataset.StudyID = procedure or accession
    if order.study_uid:
        dataset.StudyInstanceUID = _check_uid(order.study_uid)
    if procedure:
        request = Dataset()
        request.RequestedProcedureID = procedure
        request.AccessionNumber = accession
        dataset.RequestAttributesSequence = [request]


def add_equipment(dataset: Dataset, device: Device) -> None:
    """The recorder that made the recording."""
    dataset.Manufacturer = check_text(device.manufacturer, what="the manufacturer", longest=64)
    optional = (
        ("ManufacturerModelName", device.model, "the model", 64),
        ("DeviceSerialNumber", device.serial_number, "the serial number", 64),
        ("SoftwareVersions", device.software_version, "the software version", 64),
        ("StationName", device.station_name, "the station name", 16),
    )
    for keyword, value, what, longest in optional:
        if value:
            setattr(dataset, keyword, check_text(value, what=what, longest=longest))


def add_context(dataset: Dataset, placement: Placement, position: Position) -> None:
    """Where the electrodes were put, and that the person lay supine, each where it is stated."""
    context = []
    if placement is not Placement.NOT_STATED:
        scheme = "MDC" if placement in PLACEMENT_CODES else OWN_SCHEME
        code, meaning = PLACEMENT_CODES.get(placement) or (placement.name, placement.value)
        context.append(_build_context(ELECTRODE_PLACEMENT, (scheme, code, meaning)))
    if position is Position.SUPINE:
        context.append(_build_context(PATIENT_STATE, SUPINE))
    dataset.AcquisitionContextSequence = context


def add_remarks(dataset: Dataset, remarks: tuple[str, ...]) -> None:
    """Free texts, as annotations of the whole group."""
    if not remarks:
        return
    dataset.WaveformAnnotationSequence = [
        _build_annotation(remark[first : first + LONGEST_REMARK])
        for remark in remarks
        for first in range(0, len(remark), LONGEST_REMARK)
    ]


def _build_context(name: tuple[str, str, str], value: tuple[str, str, str]) -> Dataset:
    item = Dataset()
    item.ValueType = "CODE"
    item.ConceptNameCodeSequence = [build_code(*name)]
    item.ConceptCodeSequence = [build_code(*value)]
    return item


_SEXES = {Sex.FEMALE: "F", Sex.MALE: "M", Sex.OTHER: "O", Sex.NOT_STATED: ""}
_FARTHEST_WEST = timedelta(hours=-12)
_FARTHEST_EAST = timedelta(hours=14)


def _format_age(years: float) -> str:
    """Whole years where they are; else the finest of days and months that three digits hold."""
    if years.is_integer() and 0 <= years <= 999:
        return f"{int(years):03d}Y"
    for count, unit in ((years * 365.2425, "D"), (years * 12, "M"), (years, "Y")):
        if 0 <= round(count) <= 999:
            return f"{round(count):03d}{unit}"
    raise InvalidInput(f"an age of {years:g} years cannot be; correct it")


def _to_writable_zone(start: datetime) -> datetime:
    """The same moment in a zone that four digits can state [DICOM-PS3.3 C.12.1.1.8]."""
    offset = start.utcoffset()
    if offset is None:
        return start
    is_writable = _FARTHEST_WEST <= offset <= _FARTHEST_EAST and offset % timedelta(
        minutes=1
    ) == timedelta(0)
    return start if is_writable else start.astimezone(UTC)


def _check_uid(uid: str) -> str:
    if len(uid) > 64 or not re.fullmatch(RE_VALID_UID, uid):
        raise InvalidInput(f"the study UID {uid!r} is no DICOM UID; correct the order")
    return uid


def _build_annotation(text: str) -> Dataset:
    annotation = Dataset()
    annotation.UnformattedTextValue = text
    annotation.ReferencedWaveformChannels = [1, 0]
    annotation.AnnotationGroupNumber = 0
    return annotation
