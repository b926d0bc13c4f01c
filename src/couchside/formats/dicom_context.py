"""What a DICOM ECG says beside the samples: patient, order, device, start, placement, texts."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta, timezone

from pydicom.valuerep import PersonName

from couchside.formats.dicom_codes import PLACEMENT_OF_CODE
from couchside.formats.dicom_item import DicomItem
from couchside.recording import Device, OrderReference, Patient, Placement, Sex


def read_patient(root: DicomItem) -> Patient:
    """Who was recorded."""
    family_name, given_name = _read_name(root)
    return Patient(
        identifier=root.text("PatientID"),
        family_name=family_name,
        given_name=given_name,
        birth_date=_find_date(root.text("PatientBirthDate")),
        stated_age_years=_find_age_years(root.text("PatientAge")),
        sex=_SEXES.get(root.text("PatientSex").upper(), Sex.NOT_STATED),
    )


def read_order(root: DicomItem) -> OrderReference:
    """What ties the recording to its order; the request's own attributes come first."""
    requests = root.items("RequestAttributesSequence")
    places = [*requests[:1], root]

    def first(keyword: str) -> str:
        return next((place.text(keyword) for place in places if place.text(keyword)), "")

    return OrderReference(
        accession_number=root.text("AccessionNumber") or first("AccessionNumber"),
        requested_procedure_id=first("RequestedProcedureID"),
        study_uid=root.text("StudyInstanceUID"),
    )


def read_device(root: DicomItem) -> Device:
    """The recorder that made the file."""
    return Device(
        manufacturer=root.text("Manufacturer"),
        model=root.text("ManufacturerModelName"),
        serial_number=root.text("DeviceSerialNumber"),
        software_version=root.text("SoftwareVersions"),
        station_name=root.text("StationName"),
    )


def find_start(root: DicomItem) -> datetime | None:
    """When the acquisition began, with its zone where one is stated; None where no time is.

    The first that is whole of Acquisition DateTime, Content Date and Time, Study Date and Time;
    a zone of its own comes before Timezone Offset From UTC.
    """
    zone_text = root.text("TimezoneOffsetFromUTC")
    moments = (
        root.text("AcquisitionDateTime"),
        root.text("ContentDate") + root.text("ContentTime"),
        root.text("StudyDate") + root.text("StudyTime"),
    )
    parsed = (_find_moment(text, zone_text) for text in moments)
    return next((moment for moment in parsed if moment is not None), None)


def read_placement(root: DicomItem) -> Placement:
    """Where the electrodes were put, from the acquisition context."""
    for item in root.items("AcquisitionContextSequence"):
        for code in item.items("ConceptCodeSequence"):
            key = (code.text("CodingSchemeDesignator"), code.text("CodeValue"))
            if key in PLACEMENT_OF_CODE:
                return PLACEMENT_OF_CODE[key]
    return Placement.NOT_STATED


def read_texts(root: DicomItem) -> tuple[str, ...]:
    """Free texts among the annotations, in order, each once."""
    texts = (item.text("UnformattedTextValue") for item in root.items("WaveformAnnotationSequence"))
    return tuple(dict.fromkeys(text for text in texts if text))


_SEXES = {"F": Sex.FEMALE, "M": Sex.MALE, "O": Sex.OTHER}
_YEARS_PER = {"D": 1 / 365.2425, "W": 7 / 365.2425, "M": 1 / 12, "Y": 1.0}
_MOMENT = re.compile(
    r"(?P<day>\d{8})(?P<hour>\d{2})(?P<minute>\d{2})(?:(?P<second>\d{2})(?:\.(?P<part>\d{1,6}))?)?"
    r"(?P<zone>[+-]\d{4})?"
)


def _read_name(root: DicomItem) -> tuple[str, str]:
    """Family and given names, from the alphabetic group, else the ideographic one."""
    name = root.value("PatientName")
    if not isinstance(name, PersonName):
        return root.text("PatientName"), ""
    group = name.alphabetic or name.ideographic or name.phonetic
    parts = [part.strip() for part in str(group).split("^")] + ["", "", ""]
    return parts[0], " ".join(part for part in parts[1:3] if part)


def _find_date(text: str) -> date | None:
    digits = text.replace(".", "")
    if not re.fullmatch(r"\d{8}", digits):
        return None
    try:
        return date(int(digits[:4]), int(digits[4:6]), int(digits[6:]))
    except ValueError:
        return None


def _find_age_years(text: str) -> float | None:
    match = re.fullmatch(r"(\d{1,3})([DWMY])", text)
    return int(match[1]) * _YEARS_PER[match[2]] if match else None


def _find_moment(text: str, zone_text: str) -> datetime | None:
    match = _MOMENT.fullmatch(text.replace(":", ""))
    day = _find_date(match["day"]) if match else None
    if match is None or day is None:
        return None
    try:
        return datetime(
            day.year,
            day.month,
            day.day,
            int(match["hour"]),
            int(match["minute"]),
            int(match["second"] or 0),
            int((match["part"] or "").ljust(6, "0")),
            tzinfo=_find_zone(match["zone"] or zone_text),
        )
    except ValueError:
        return None


def _find_zone(text: str) -> timezone | None:
    match = re.fullmatch(r"([+-])(\d{2})(\d{2})", text)
    if match is None:
        return None
    offset = timedelta(hours=int(match[2]), minutes=int(match[3]))
    return timezone(-offset if match[1] == "-" else offset)
