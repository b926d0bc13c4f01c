"""Kinds of file that are recognised in order to say what to do, not to be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from couchside.formats.zipped import is_zip

EXPORT_ADVICE = "export the recording as DICOM, WFDB or CSV"


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignKind:
    """A kind of file that is not read.

    Parameters
    ----------
    title : str
        As a message names it, with its article.
    sniff : callable
        Whether these bytes, the whole of a file, are of this kind.
    is_ecg : bool
        Whether it can hold an ECG, so that a reader may yet come.
    """

    title: str
    sniff: Callable[[bytes], bool]
    is_ecg: bool = False


def find_foreign_kind(content: bytes) -> ForeignKind | None:
    """The kind of these bytes, if it is one that is known but not read."""
    return next((kind for kind in FOREIGN_KINDS if kind.sniff(content)), None)


def _begins_with(*marks: bytes) -> Callable[[bytes], bool]:
    return lambda content: content.startswith(marks)


def _looks_like_aecg(content: bytes) -> bool:
    head = content[:65_536]
    return b"<" in head[:512] and b"AnnotatedECG" in head


def _looks_like_scp_ecg(content: bytes) -> bool:
    """Whether the length behind the checksum is the file's own, and section 0 follows it."""
    return (
        len(content) > 22
        and int.from_bytes(content[2:6], "little") == len(content)
        and content[8:10] == b"\x00\x00"
    )


def _looks_like_xml(content: bytes) -> bool:
    return content[:512].lstrip(b"\xef\xbb\xbf \t\r\n").startswith((b"<?xml", b"<!--", b"<html"))


FOREIGN_KINDS: tuple[ForeignKind, ...] = (
    ForeignKind(title="an HL7 aECG document", sniff=_looks_like_aecg, is_ecg=True),
    ForeignKind(title="an SCP-ECG record", sniff=_looks_like_scp_ecg, is_ecg=True),
    ForeignKind(title="an EDF record", sniff=_begins_with(b"0       "), is_ecg=True),
    ForeignKind(title="an HL7 version 2 message", sniff=_begins_with(b"MSH|"), is_ecg=True),
    ForeignKind(title="a MATLAB 5 file", sniff=_begins_with(b"MATLAB 5.0 MAT-file"), is_ecg=True),
    ForeignKind(title="an HDF5 file", sniff=_begins_with(b"\x89HDF\r\n\x1a\n"), is_ecg=True),
    ForeignKind(title="a PDF document", sniff=_begins_with(b"%PDF-")),
    ForeignKind(title="a PNG picture", sniff=_begins_with(b"\x89PNG\r\n\x1a\n")),
    ForeignKind(title="a JPEG picture", sniff=_begins_with(b"\xff\xd8\xff")),
    ForeignKind(title="a TIFF picture", sniff=_begins_with(b"II*\x00", b"MM\x00*")),
    ForeignKind(title="a zip file in a zip file", sniff=is_zip),
    ForeignKind(title="a gzip archive", sniff=_begins_with(b"\x1f\x8b")),
    ForeignKind(title="a 7z archive", sniff=_begins_with(b"7z\xbc\xaf\x27\x1c")),
    ForeignKind(title="an XML or HTML document", sniff=_looks_like_xml),
)
