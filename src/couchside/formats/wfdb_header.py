"""The WFDB header file: what a record holds, one line a signal [WFDB-header]."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from couchside.errors import CorruptFile
from couchside.formats.limits import check_extent, check_sample_total
from couchside.formats.parcel import ArrivedFile

FORMAT_NAME = "wfdb"

DEFAULT_UNIT = "mV"
"""The unit of a signal whose header names none [WFDB-header]."""

DEFAULT_GAIN_PER_MV = 200.0
"""What may be assumed where a signal is not calibrated [WFDB-header]."""

GAIN_RANGE = (1e-9, 1e15)
"""Steps per unit; beyond, the number is damaged, not absurd."""

ALL_FIELDS = 9
"""Fields of a signal line that leaves none out."""

GAP = "~"
"""What a header writes for a segment, or a file, that is not there [WFDB-header]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalLine:
    """One signal as the header describes it.

    `gain_per_unit` is 0 where the header says that the amplitudes are not calibrated, be it by
    silence; `unit` is empty where it names none; `checksum` is None where it states none.
    """

    file_name: str
    storage_format: int
    samples_per_frame: int
    skew: int
    byte_offset: int
    gain_per_unit: float
    baseline: int
    unit: str
    checksum: int | None
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentLine:
    """One segment of a record that is stored in pieces; ``~`` names a gap."""

    name: str
    sample_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WfdbHeader:
    """A header, line by line; either `signals` or `segments` is filled."""

    file_name: str
    record_name: str
    signal_count: int
    rate_hz: float | None
    sample_count: int | None
    start_text: str
    signals: tuple[SignalLine, ...]
    segments: tuple[SegmentLine, ...]
    comments: tuple[str, ...]


def parse_header(file: ArrivedFile) -> WfdbHeader:
    """Read a header file.

    Parameters
    ----------
    file : ArrivedFile
        The ``.hea`` file.

    Returns
    -------
    WfdbHeader

    Raises
    ------
    CorruptFile
        If a line cannot be read, or there are fewer lines than the first line promises.
    """
    lines = [line.strip() for line in decode_text(file.content).splitlines()]
    comments = tuple(line.removeprefix("#").strip() for line in lines if line.startswith("#"))
    described = [line for line in lines if line and not line.startswith("#")]
    if not described:
        raise _corrupt(file.name, "has no record line", "record line")
    record = _RECORD_LINE.fullmatch(described[0])
    if record is None:
        raise _corrupt(file.name, f"begins with {_short(described[0])}", "record line")
    is_split = record["segments"] is not None
    promised = int(record["segments"] if is_split else record["signals"])
    body = described[1 : promised + 1]
    if len(body) < promised:
        what = "segments" if is_split else "signals"
        raise _corrupt(
            file.name, f"promises {promised} {what} and describes {len(body)}", "signal lines"
        )
    if not is_split:
        _check_last_line(file, described, body)
    return WfdbHeader(
        file_name=file.name,
        record_name=record["name"],
        signal_count=int(record["signals"]),
        rate_hz=_parse_rate(file.name, record["rate"]),
        sample_count=int(record["samples"]) or None if record["samples"] else None,
        start_text=(record["start"] or "").strip(),
        signals=() if is_split else tuple(_parse_signal(file.name, line) for line in body),
        segments=tuple(_parse_segment(file.name, line) for line in body) if is_split else (),
        comments=comments,
    )


def list_companions(file: ArrivedFile) -> tuple[str, ...]:
    """Names of the files that a header refers to: its signal files, or its segments' headers.

    Raises
    ------
    FormatError
        If the header cannot be read, or promises more than is read, so that nothing is loaded.
    """
    header = parse_header(file)
    check_promise(header, header.rate_hz)
    names = [signal.file_name for signal in header.signals]
    names += [f"{segment.name}.hea" for segment in header.segments if segment.name != GAP]
    return tuple(dict.fromkeys(name for name in names if name != GAP))


def check_promise(header: WfdbHeader, rate_hz: float | None) -> None:
    """Refuse a record that its header alone shows to be beyond the limits.

    Raises
    ------
    FormatError
        As `check_extent`, as far as the header states length and rate.
    """
    in_segments = sum(segment.sample_count for segment in header.segments)
    sample_count = max(header.sample_count or 0, in_segments)
    if sample_count and rate_hz is not None:
        # signals that are no voltages may yet be left out, so more than 18 are no fault here
        check_extent(header.file_name, lead_count=1, sample_count=sample_count, rate_hz=rate_hz)
        check_sample_total(header.file_name, header.signal_count * sample_count)


def decode_text(content: bytes) -> str:
    """Text of a header: UTF-8 where it is that, else Latin-1, which takes any byte."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


_RECORD_LINE = re.compile(
    r"(?P<name>[^\s/,;]+)(?:/(?P<segments>\d{1,6}))?"
    r"\s+(?P<signals>\d{1,6})"
    r"(?:\s+(?P<rate>[^\s/]+)(?:/\S+)?"
    r"(?:\s+(?P<samples>\d{1,15})(?:\s+(?P<start>.*))?)?)?"
)
_FORMAT_FIELD = re.compile(
    r"(?P<format>\d{1,4})(?:x(?P<per_frame>\d{1,6}))?(?::(?P<skew>\d{1,9}))?"
    r"(?:\+(?P<offset>\d{1,12}))?"
)
_GAIN_FIELD = re.compile(
    r"(?P<gain>[-+]?[0-9.]+(?:[eE][-+]?\d+)?)(?:\((?P<baseline>-?\d{1,12})\))?(?:/(?P<unit>\S+))?"
)
_INTEGER = re.compile(r"[-+]?\d{1,15}")


def _parse_rate(file_name: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        rate_hz = float(text)
    except ValueError:
        rate_hz = math.nan
    if not math.isfinite(rate_hz):
        raise _corrupt(file_name, f"states the sampling rate {_short(text)}", "sampling rate")
    return rate_hz


def _check_last_line(file: ArrivedFile, described: list[str], body: list[str]) -> None:
    """Refuse a header that was cut off within its last signal line, where a gain may end early."""
    is_last = len(described) == len(body) + 1 and not file.content.endswith((b"\n", b"\r"))
    field_counts = [min(len(line.split()), ALL_FIELDS) for line in body]
    if is_last and field_counts and field_counts[-1] < max(field_counts):
        raise _corrupt(file.name, "ends in the middle of its last signal line", "signal lines")


def _parse_signal(file_name: str, line: str) -> SignalLine:
    fields = line.split(maxsplit=8)
    storage = _FORMAT_FIELD.fullmatch(fields[1]) if len(fields) > 1 else None
    if storage is None:
        raise _corrupt(file_name, f"describes a signal as {_short(line)}", "signal format")
    gain, baseline, unit = _parse_gain(file_name, fields[2] if len(fields) > 2 else "")
    adc_zero = _parse_integer(file_name, fields, 4)
    return SignalLine(
        file_name=fields[0],
        storage_format=int(storage["format"]),
        samples_per_frame=int(storage["per_frame"] or 1),
        skew=int(storage["skew"] or 0),
        byte_offset=int(storage["offset"] or 0),
        gain_per_unit=gain,
        baseline=adc_zero or 0 if baseline is None else baseline,
        unit=unit,
        checksum=_parse_integer(file_name, fields, 6),
        description=fields[8].strip() if len(fields) > 8 else "",
    )


def _parse_gain(file_name: str, text: str) -> tuple[float, int | None, str]:
    if not text:
        return 0.0, None, ""
    match = _GAIN_FIELD.fullmatch(text)
    try:
        gain = float(match["gain"]) if match else math.nan
    except ValueError:
        gain = math.nan
    if match is None or not (gain == 0 or GAIN_RANGE[0] <= abs(gain) <= GAIN_RANGE[1]):
        raise _corrupt(file_name, f"states the gain {_short(text)}", "gain")
    baseline = None if match["baseline"] is None else int(match["baseline"])
    return gain, baseline, match["unit"] or ""


def _parse_integer(file_name: str, fields: list[str], position: int) -> int | None:
    if len(fields) <= position:
        return None
    if not _INTEGER.fullmatch(fields[position]):
        raise _corrupt(
            file_name, f"has {_short(fields[position])} where a whole number belongs", "signal line"
        )
    return int(fields[position])


def _parse_segment(file_name: str, line: str) -> SegmentLine:
    fields = line.split()
    if len(fields) != 2 or not re.fullmatch(r"\d{1,15}", fields[1]):
        raise _corrupt(file_name, f"describes a segment as {_short(line)}", "segment line")
    return SegmentLine(name=fields[0], sample_count=int(fields[1]))


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:40]}…")


def _corrupt(file_name: str, found: str, field: str) -> CorruptFile:
    return CorruptFile(
        f"{file_name} {found}, which is not how a WFDB header is written; "
        "export or copy the record again",
        format_name=FORMAT_NAME,
        field=field,
    )
