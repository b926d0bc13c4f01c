"""A recording as a file to take along: as it came, or written in an open format."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable, Mapping
from enum import StrEnum
from io import BytesIO

from couchside.formats import Parcel, write_csv, write_dicom, write_wfdb
from couchside.recording import Position
from couchside.service.assessment_json import assessment_to_json
from couchside.service.derive import fetch_parcel
from couchside.service.desk import Desk
from couchside.service.exporting import ExportedFile
from couchside.service.filed_as import hand_out
from couchside.service.opening import OpenedRecording, open_recording
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.recordings import get_recording

_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The earliest that a zip file can state: the same files give the same bytes."""


class FileKind(StrEnum):
    """As what a recording can be taken along."""

    ORIGINAL = "original"
    DICOM = "dicom"
    WFDB = "wfdb"
    CSV = "csv"
    JSON = "json"


def take_along(desk: Desk, recording_id: int, kind: FileKind) -> ExportedFile:
    """A recording as a file, with an entry in the audit trail.

    All but the original carry what a person wrote about the recording and the identity by which it
    is filed. Raises NotFound, StoreError where the bytes have changed, and InvalidInput or
    UnsupportedFeature where the format cannot hold the recording.
    """
    opened = open_recording(desk, recording_id)
    taken = _WRITERS[kind](desk, opened)
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.EXPORTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={
                "format": kind.value,
                "file": taken.file_name,
                "sha256": hashlib.sha256(taken.content).hexdigest(),
            },
        )
    return taken


def _take_original(desk: Desk, opened: OpenedRecording) -> ExportedFile:
    with desk.store.reading() as session:
        row = get_recording(session, opened.summary.id)
        parcel = fetch_parcel(desk.store.vault, row.parcel)
    if len(parcel.files) > 1:
        return _zip(parcel, f"recording-{opened.summary.id}-as-it-came.zip")
    (file,) = parcel.files
    return ExportedFile(
        content=file.content, media_type="application/octet-stream", file_name=file.name
    )


def _take_dicom(desk: Desk, opened: OpenedRecording) -> ExportedFile:
    position = opened.written.words.position if opened.written else Position.NOT_STATED
    return ExportedFile(
        content=write_dicom(hand_out(desk, opened), position=position),
        media_type="application/dicom",
        file_name=f"recording-{opened.summary.id}.dcm",
    )


def _take_wfdb(desk: Desk, opened: OpenedRecording) -> ExportedFile:
    name = f"recording-{opened.summary.id}"
    return _zip(write_wfdb(hand_out(desk, opened), name), f"{name}-wfdb.zip")


def _take_csv(desk: Desk, opened: OpenedRecording) -> ExportedFile:
    return ExportedFile(
        content=write_csv(hand_out(desk, opened)),
        media_type="text/csv; charset=utf-8",
        file_name=f"recording-{opened.summary.id}.csv",
    )


def _take_json(desk: Desk, opened: OpenedRecording) -> ExportedFile:
    document = assessment_to_json(hand_out(desk, opened), opened.assessment)
    text = json.dumps(document, ensure_ascii=False, indent=2)
    return ExportedFile(
        content=f"{text}\n".encode(),
        media_type="application/json",
        file_name=f"recording-{opened.summary.id}.json",
    )


_WRITERS: Mapping[FileKind, Callable[[Desk, OpenedRecording], ExportedFile]] = {
    FileKind.ORIGINAL: _take_original,
    FileKind.DICOM: _take_dicom,
    FileKind.WFDB: _take_wfdb,
    FileKind.CSV: _take_csv,
    FileKind.JSON: _take_json,
}


def _zip(parcel: Parcel, name: str) -> ExportedFile:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for file in parcel.files:
            entry = zipfile.ZipInfo(file.name, date_time=_FIRST_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, file.content)
    return ExportedFile(content=buffer.getvalue(), media_type="application/zip", file_name=name)
