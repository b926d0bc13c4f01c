"""Recordings to DICOM ECG waveforms."""

from __future__ import annotations

import hashlib
import uuid
from io import BytesIO

from pydicom import dcmwrite
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.uid import UID, ExplicitVRLittleEndian

from couchside.errors import UnsupportedFeature
from couchside.formats.dicom_attributes import (
    add_context,
    add_equipment,
    add_order,
    add_patient,
    add_remarks,
    add_time,
)
from couchside.formats.dicom_codes import AMBULATORY_ECG, GENERAL_ECG, TWELVE_LEAD_ECG
from couchside.formats.dicom_group import build_group
from couchside.recording import INDEPENDENT_LEADS, Position, Recording

IMPLEMENTATION_UID = "2.25.20324792490395186442313040092635343860"
"""Names Couchside as the writer: a random UUID, drawn once."""


def write_dicom(recording: Recording, *, position: Position = Position.NOT_STATED) -> bytes:
    """Write a recording as a DICOM ECG waveform.

    A 12-lead ECG where the independent leads are there and length and rate allow it; else a
    General ECG; else, for rates from 50 to 200 Hz, an Ambulatory ECG.

    Parameters
    ----------
    recording : Recording
        Its start must be stated. Samples are rounded to 16 bits in steps of the recording's own
        resolution, else 1 µV, coarser only where they would not fit.
    position : Position
        How the person lay or sat; written as the patient's state where that has a code.

    Returns
    -------
    bytes
        A file in Explicit VR Little Endian and UTF-8. The same recording gives the same bytes:
        UIDs are drawn from the content.

    Raises
    ------
    InvalidInput
        If the start is not stated, or a text does not fit into its attribute.
    UnsupportedFeature
        If no ECG object holds such a rate.

    Notes
    -----
    Source: [DICOM-PS3.3] A.34.3 to A.34.5; patient state: [DICOM-PS3.16] TID 3401,
    CID 3262. `origin` is not written.
    """
    dataset = Dataset()
    dataset.SpecificCharacterSet = "ISO_IR 192"
    dataset.SOPClassUID = _choose_class(recording)
    dataset.Modality = "ECG"
    add_patient(dataset, recording.patient)
    add_time(dataset, recording.start)
    add_order(dataset, recording.order)
    add_equipment(dataset, recording.device)
    add_context(dataset, recording.placement, position)
    dataset.WaveformSequence = [build_group(recording)]
    add_remarks(dataset, recording.remarks)
    _add_uids(dataset)
    return _encode(dataset)


MAX_TWELVE_LEAD_CHANNELS = 13
MAX_TWELVE_LEAD_SAMPLES = 16_384
RATE_RANGE_HZ = (200.0, 1000.0)
AMBULATORY_RATE_RANGE_HZ = (50.0, 1000.0)
"""Limits of the objects [DICOM-PS3.3] A.34.3.4, A.34.4.4, A.34.5.4."""


def _choose_class(recording: Recording) -> str:
    lowest_hz, highest_hz = RATE_RANGE_HZ
    if lowest_hz <= recording.rate_hz <= highest_hz:
        return TWELVE_LEAD_ECG if _fits_twelve_lead(recording) else GENERAL_ECG
    lowest_hz, highest_hz = AMBULATORY_RATE_RANGE_HZ
    if lowest_hz <= recording.rate_hz <= highest_hz:
        return AMBULATORY_ECG
    raise UnsupportedFeature(
        f"a recording at {recording.rate_hz:g} Hz fits no DICOM ECG object, which hold "
        f"{lowest_hz:g} to {highest_hz:g} Hz; write it as WFDB or CSV",
        format_name="dicom",
        field="SamplingFrequency",
    )


def _fits_twelve_lead(recording: Recording) -> bool:
    return (
        all(recording.has_lead(lead) for lead in INDEPENDENT_LEADS)
        and len(recording.leads) <= MAX_TWELVE_LEAD_CHANNELS
        and recording.sample_count <= MAX_TWELVE_LEAD_SAMPLES
    )


def _add_uids(dataset: Dataset) -> None:
    """UIDs that are the digest of what they name, so that writing again changes nothing."""
    content = _encode_dataset(dataset)
    dataset.SOPInstanceUID = _make_uid(b"instance", content)
    dataset.SeriesInstanceUID = _make_uid(b"series", content)
    if "StudyInstanceUID" not in dataset:
        dataset.StudyInstanceUID = _make_uid(b"study", content)
    dataset.SeriesNumber = "1"
    dataset.InstanceNumber = "1"


def _make_uid(kind: bytes, content: bytes) -> str:
    """A UUID-derived UID [DICOM-PS3.5 B.2] from a digest."""
    digest = hashlib.sha256(kind + b"\x00" + content).digest()
    return f"2.25.{uuid.UUID(bytes=digest[:16], version=5).int}"


def _encode_dataset(dataset: Dataset) -> bytes:
    buffer = BytesIO()
    dcmwrite(buffer, dataset, implicit_vr=False, little_endian=True, enforce_file_format=False)
    return buffer.getvalue()


def _encode(dataset: Dataset) -> bytes:
    meta = FileMetaDataset()
    meta.FileMetaInformationVersion = b"\x00\x01"
    meta.MediaStorageSOPClassUID = dataset.SOPClassUID
    meta.MediaStorageSOPInstanceUID = dataset.SOPInstanceUID
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    meta.ImplementationClassUID = UID(IMPLEMENTATION_UID)
    meta.ImplementationVersionName = "COUCHSIDE"
    dataset.file_meta = meta
    buffer = BytesIO()
    dcmwrite(buffer, dataset, enforce_file_format=True)
    return buffer.getvalue()
