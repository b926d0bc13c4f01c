"""Open formats in and out, one module a format, one registry, sniffed by content."""

from couchside.formats.gathering import gather_parcel
from couchside.formats.hints import NO_HINTS, ReadHints, parse_unit
from couchside.formats.ordering import group_into_parcels
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.reading import read, read_parcel
from couchside.formats.registry import FORMATS, Format, find_format

__all__ = [
    "FORMATS",
    "NO_HINTS",
    "ArrivedFile",
    "Format",
    "Parcel",
    "ReadHints",
    "find_format",
    "gather_parcel",
    "group_into_parcels",
    "parse_unit",
    "read",
    "read_parcel",
]
