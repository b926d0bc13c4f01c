"""The formats that are read, in the order of trial; content decides, never a name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Protocol, cast

from couchside.formats.hints import ReadHints
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.sniffing import looks_like_csv, looks_like_dicom, looks_like_wfdb_header
from couchside.formats.wfdb_header import list_companions
from couchside.recording import Recording


class Reader(Protocol):
    """Turns the files of one recording into the recording; raises `FormatError`."""

    def __call__(self, parcel: Parcel, hints: ReadHints) -> Recording:
        """Read the parcel, whose main file is of the reader's format."""


def _refers_to_nothing(file: ArrivedFile) -> tuple[str, ...]:  # noqa: ARG001 (the hook's shape)
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One format that is read.

    Parameters
    ----------
    name : str
        As `Origin.format_name` states it.
    title : str
        As a message names it.
    extensions : tuple of str
        Under which such files usually travel; for listings only.
    sniff : callable
        Whether these bytes, the whole of a file, are of this format.
    reader : str
        ``module:function``, imported at first use so that one format does not pay for another.
    list_companions : callable
        Names of the files that the main file refers to.
    """

    name: str
    title: str
    extensions: tuple[str, ...]
    sniff: Callable[[bytes], bool]
    reader: str
    list_companions: Callable[[ArrivedFile], tuple[str, ...]] = _refers_to_nothing

    def read(self, parcel: Parcel, hints: ReadHints) -> Recording:
        """Read a parcel whose main file is of this format."""
        module, _, function = self.reader.partition(":")
        return cast("Reader", getattr(import_module(module), function))(parcel, hints)


FORMATS: tuple[Format, ...] = (
    Format(
        name="dicom",
        title="DICOM ECG waveform",
        extensions=(".dcm", ".dicom", ".ima"),
        sniff=looks_like_dicom,
        reader="couchside.formats.dicom_read:read_dicom",
    ),
    Format(
        name="wfdb",
        title="WFDB record",
        extensions=(".hea",),
        sniff=looks_like_wfdb_header,
        reader="couchside.formats.wfdb_read:read_wfdb",
        list_companions=list_companions,
    ),
    Format(
        name="csv",
        title="CSV table",
        extensions=(".csv", ".tsv", ".txt"),
        sniff=looks_like_csv,
        reader="couchside.formats.csv_read:read_csv",
    ),
)


def find_format(content: bytes) -> Format | None:
    """The first format that knows these bytes, if there is one."""
    return next((each for each in FORMATS if each.sniff(content)), None)
