"""DICOM data sets read guardedly: whatever a damaged file makes of pydicom becomes one sentence."""

from __future__ import annotations

import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO

from pydicom import dcmread
from pydicom.config import IGNORE
from pydicom.dataset import Dataset
from pydicom.errors import BytesLengthException, InvalidDicomError
from pydicom.multival import MultiValue
from pydicom.sequence import Sequence
from pydicom.uid import UID, DeflatedExplicitVRLittleEndian

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats.parcel import ArrivedFile

FORMAT_NAME = "dicom"
LONGEST_NAME = 64

_DAMAGE = (
    AttributeError,
    BytesLengthException,
    EOFError,
    InvalidDicomError,
    LookupError,
    NotImplementedError,
    OSError,
    OverflowError,
    RecursionError,
    TypeError,
    ValueError,
    struct.error,
)
"""What pydicom raises on damaged bytes, found by cutting and garbling files."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DicomItem:
    """A data set or a sequence item, with the file's name for messages."""

    file_name: str
    dataset: Dataset

    def has(self, keyword: str) -> bool:
        """Whether the attribute is there, empty or not."""
        return keyword in self.dataset

    def text(self, keyword: str) -> str:
        """An attribute as text on one line, the first of several values; empty where none is."""
        value = self._first(keyword)
        signs = "" if value is None else str(value)
        return "".join(sign if sign.isprintable() else " " for sign in signs).strip()

    def number(self, keyword: str) -> float | None:
        """An attribute as a number, the first of several values; None where it is empty."""
        value = self._first(keyword)
        if value is None or value == "":
            return None
        try:
            return float(value)  # type: ignore[arg-type]
        except (TypeError, ValueError, OverflowError):
            raise self.damage(f"the number {str(value)[:20]!r}", keyword) from None

    def count(self, keyword: str) -> int:
        """An attribute that must be a whole number, 0 or above."""
        number = self.number(keyword)
        if number is None or not (number >= 0 and number.is_integer()):
            found = "no value" if number is None else f"the number {number:g}"
            raise self.damage(found, keyword)
        return int(number)

    def content(self, keyword: str) -> bytes:
        """An attribute as bytes; empty where there is none."""
        value = self._value(keyword)
        return value if isinstance(value, bytes) else b""

    def items(self, keyword: str) -> tuple[DicomItem, ...]:
        """The items of a sequence; empty where there is none."""
        value = self._value(keyword)
        if not isinstance(value, Sequence):
            return ()
        with _translated(self.file_name, keyword):
            datasets = list(value)
        return tuple(DicomItem(file_name=self.file_name, dataset=each) for each in datasets)

    def value(self, keyword: str) -> object:
        """An attribute as pydicom gives it; None where there is none."""
        return self._value(keyword)

    def damage(self, found: str, keyword: str) -> CorruptFile:
        """The error that says what stands in an attribute that cannot be used."""
        return CorruptFile(
            f"{self.file_name} has {found} as its DICOM attribute {keyword}, which cannot be; "
            "export the recording again",
            format_name=FORMAT_NAME,
            field=keyword,
        )

    def _first(self, keyword: str) -> object:
        value = self._value(keyword)
        if isinstance(value, MultiValue | list | tuple):
            return value[0] if len(value) else None
        return value

    def _value(self, keyword: str) -> object:
        with _translated(self.file_name, keyword):
            return self.dataset.get(keyword)


def parse_dicom(file: ArrivedFile) -> DicomItem:
    """Parse a DICOM file.

    Raises
    ------
    CorruptFile
        If the bytes break off or are no data set.
    UnsupportedFeature
        If the data set is deflated, because what it would inflate to is not known beforehand.
    """
    if DeflatedExplicitVRLittleEndian.encode() in file.content:
        raise UnsupportedFeature(
            f"{file.name} is a deflated DICOM file, and only plain ones are read; "
            "export it in the transfer syntax Explicit VR Little Endian",
            format_name=FORMAT_NAME,
            field="TransferSyntaxUID",
        )
    with _translated(file.name, "data set"):
        dataset = dcmread(BytesIO(file.content), force=True)
    return DicomItem(file_name=file.name, dataset=dataset)


def describe_kind(uid: str) -> str:
    """What a SOP class is called, such as ``"CT Image Storage"``; else the UID itself."""
    name = UID(uid, validation_mode=IGNORE).name
    return name if name.isprintable() and len(name) <= LONGEST_NAME else "that nobody knows"


@contextmanager
def _translated(file_name: str, part: str) -> Iterator[None]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what matters of a value is judged by its reader
            yield
    except _DAMAGE as error:
        raise CorruptFile(
            f"{file_name} begins as a DICOM file, but its {part} is damaged or cut off; "
            "copy or export the recording again",
            format_name=FORMAT_NAME,
            field=part,
        ) from error
