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
    from couchside.formats.long_records import (
        LongRecord,
        iterate_spans,
        open_long_record,
        read_span,
    )

__all__ = [
    "FORMATS",
    "NO_HINTS",
    "ArrivedFile",
    "DicomGroup",
    "Format",
    "LongRecord",
    "Parcel",
    "ReadHints",
    "find_format",
    "gather_parcel",
    "group_into_parcels",
    "iterate_spans",
    "open_long_record",
    "parse_unit",
    "read",
    "read_dicom_groups",
    "read_parcel",
    "read_span",
    "write_csv",
    "write_dicom",
    "write_wfdb",
]

_BROUGHT_IN_LATER = {
    "DicomGroup": "couchside.formats.dicom_waveform",
    "LongRecord": "couchside.formats.long_records",
    "iterate_spans": "couchside.formats.long_records",
    "open_long_record": "couchside.formats.long_records",
    "read_dicom_groups": "couchside.formats.dicom_read",
    "read_span": "couchside.formats.long_records",
    "write_dicom": "couchside.formats.dicom_write",
}


def __getattr__(name: str) -> object:
    """Bring in what needs much else at its first use, so that reading does not wait for it."""
    if name not in _BROUGHT_IN_LATER:
        raise AttributeError(f"couchside.formats has no {name}")
    return getattr(import_module(_BROUGHT_IN_LATER[name]), name)
