"""Which format some bytes are of, from the bytes alone."""

from __future__ import annotations

import re

from couchside.formats.csv_header import decode_table, find_header
from couchside.formats.wfdb_header import decode_text

_DICOM_PREFIX_AT = 128
_HEADER_BYTES = 65_536
"""Comments may precede a WFDB record line; no header in open data has a tenth of this."""

_RECORD_LINE = re.compile(r"[^\s,;]+\s+\d{1,6}(\s+\S+){0,4}")
_SIGNAL_LINE = re.compile(r"\S+\s+\d{1,4}(x\d+)?(:\d+)?(\+\d+)?(\s.*)?")
_RATE_AND_COUNT = re.compile(r"[^\s,;]+\s+\d{1,6}\s+\d\S*\s+\d+(\s.*)?")


def looks_like_dicom(content: bytes) -> bool:
    """Whether the DICOM prefix stands behind the preamble [DICOM-PS3.10 7.1]."""
    return content[_DICOM_PREFIX_AT : _DICOM_PREFIX_AT + 4] == b"DICM"


def looks_like_wfdb_header(content: bytes) -> bool:
    """Whether the first lines are a WFDB record line and a signal or segment line."""
    described = _list_header_lines(content)
    if not described or not _RECORD_LINE.fullmatch(described[0]):
        return False
    if _RATE_AND_COUNT.fullmatch(described[0]):
        return True
    return len(described) > 1 and _SIGNAL_LINE.fullmatch(described[1]) is not None


def states_sample_count(content: bytes) -> bool:
    """Whether a WFDB header's record line states how many samples there are."""
    described = _list_header_lines(content)
    if not described or not _RATE_AND_COUNT.fullmatch(described[0]):
        return False
    return int(described[0].split()[3]) > 0


def _list_header_lines(content: bytes) -> list[str]:
    head = content[:_HEADER_BYTES]
    if b"\x00" in head:
        return []
    lines = [line.strip() for line in decode_text(head).splitlines()]
    return [line for line in lines if line and not line.startswith("#")]


def looks_like_csv(content: bytes) -> bool:
    """Whether the first line that is no comment names leads, or is a row of numbers."""
    text = decode_table(content[:_HEADER_BYTES])
    return text is not None and find_header(text) is not None
