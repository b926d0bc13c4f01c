"""Open formats in and out, one module a format, one registry, sniffed by content."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from couchside.formats.csv_write import write_csv
from couchside.formats.gathering import gather_parcel
from couchside.formats.hints import NO_HINTS, ReadHints, parse_unit
from couchside.formats.ordering import group_into_parcels
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.reading import read, read_parcel
from couchside.formats.registry import FORMATS, Format, find_format
from couchside.formats.wfdb_write import write_wfdb

if TYPE_CHECKING:
    from couchside.formats.dicom_read import read_dicom_groups
    from couchside.formats.dicom_waveform import DicomGroup
    from couchside.formats.dicom_write import write_dicom

__all__ = [
    "FORMATS",
    "NO_HINTS",
    "ArrivedFile",
    "DicomGroup",
    "Format",
    "Parcel",
    "ReadHints",
    "find_format",
    "gather_parcel",
    "group_into_parcels",
    "parse_unit",
    "read",
    "read_dicom_groups",
    "read_parcel",
    "write_csv",
    "write_dicom",
    "write_wfdb",
]

_NEEDING_PYDICOM = {
    "DicomGroup": "couchside.formats.dicom_waveform",
    "read_dicom_groups": "couchside.formats.dicom_read",
    "write_dicom": "couchside.formats.dicom_write",
}


def __getattr__(name: str) -> object:
    """Bring in what needs pydicom at its first use, so that other formats do not wait for it."""
    if name not in _NEEDING_PYDICOM:
        raise AttributeError(f"couchside.formats has no {name}")
    return getattr(import_module(_NEEDING_PYDICOM[name]), name)
