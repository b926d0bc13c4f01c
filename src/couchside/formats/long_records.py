"""Recordings of any length, read stretch by stretch, so that a day never lies in memory."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path

from couchside.errors import CorruptFile, InvalidInput
from couchside.formats.gathering import HEADER_EXTENSION, explain_unreadable, find_neighbour
from couchside.formats.hints import NO_HINTS, ReadHints
from couchside.formats.limits import check_rate
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.reading import read
from couchside.formats.wfdb_files import get_storage, group_by_file
from couchside.formats.wfdb_header import FORMAT_NAME, WfdbHeader, parse_header
from couchside.formats.wfdb_read import decode_wfdb, get_rate_hz
from couchside.formats.wfdb_signals import count_samples
from couchside.recording import Origin, Recording
from couchside.waves.long import OVERLAP_S, SPAN_S, Span

_MOST_HEADER_BYTES = 1 << 20
_PAIR = 2
"""Format 212 packs samples in pairs, so that a stretch begins with a pair."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LongRecord:
    """A recording that can be read stretch by stretch.

    Parameters
    ----------
    path : Path
        Where it lies.
    rate_hz : float
        Samples per second.
    sample_count : int
        Samples in each lead.
    hints : ReadHints
        What the file leaves open.
    header : WfdbHeader or None
        Of a WFDB record in one piece; None where the whole recording is held.
    whole : Recording or None
        The recording itself, in a format that is only read whole, up to an hour.
    origin : Origin or None
        The bytes that it came from.
    """

    path: Path
    rate_hz: float
    sample_count: int
    hints: ReadHints
    header: WfdbHeader | None
    whole: Recording | None
    origin: Origin | None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.sample_count / self.rate_hz


def open_long_record(path: str | PathLike[str], hints: ReadHints = NO_HINTS) -> LongRecord:
    """Open a recording of any length.

    Parameters
    ----------
    path : path
        A WFDB header or record name, whose samples are then read stretch by stretch; or any file
        that `read` takes, within its limits.
    hints : ReadHints
        Rate and unit, used only where the file states none.

    Returns
    -------
    LongRecord

    Raises
    ------
    InvalidInput, FormatError
        As `read`; a checksum over a whole record is not checked where only a stretch is read.
    """
    try:
        header_path = _find_header(Path(path))
    except OSError as error:
        raise explain_unreadable(Path(path), error) from error
    header = None if header_path is None else _load_header(header_path)
    if header_path is None or header is None or header.segments or not header.signals:
        whole = read(path, hints)
        return LongRecord(
            path=Path(path),
            rate_hz=whole.rate_hz,
            sample_count=whole.sample_count,
            hints=hints,
            header=None,
            whole=whole,
            origin=whole.origin,
        )
    rate_hz = get_rate_hz(header, hints)
    check_rate(header.file_name, rate_hz)
    return LongRecord(
        path=header_path,
        rate_hz=rate_hz,
        sample_count=_count_samples(header_path, header),
        hints=hints,
        header=header,
        whole=None,
        origin=_describe_origin(header_path, header),
    )


def read_span(record: LongRecord, start_s: float, seconds: float) -> Span:
    """Read a stretch of a recording.

    Parameters
    ----------
    record : LongRecord
        From `open_long_record`.
    start_s, seconds : float
        Where it begins and how long it is; cut at the recording's ends.

    Returns
    -------
    Span
        The stretch as a recording, whose start stays that of the whole, and the second of the
        whole at which it begins.

    Raises
    ------
    InvalidInput
        If the stretch holds no sample, or a number is not finite.
    FormatError
        If its samples cannot be read, or it is too long to be held at once.
    """
    if not math.isfinite(start_s + seconds):
        raise InvalidInput(f"{seconds:g} s from {start_s:g} s on are no stretch; give two numbers")
    first = max(round(start_s * record.rate_hz), 0)
    first -= first % _PAIR
    stop = min(round((start_s + seconds) * record.rate_hz), record.sample_count)
    if first >= stop:
        raise InvalidInput(
            f"{record.path.name} holds nothing from {start_s:g} s on; it is "
            f"{record.duration_s:g} s long"
        )
    recording = (
        _cut(record.whole, first, stop)
        if record.whole is not None
        else _read_samples(record, first, stop)
    )
    return Span(start_s=first / record.rate_hz, recording=replace(recording, origin=record.origin))


def iterate_spans(record: LongRecord) -> Iterator[Span]:
    """Stretches of five minutes that overlap by ten seconds, for `find_beats_in_spans`."""
    start_s = 0.0
    while True:
        yield read_span(record, start_s, SPAN_S)
        if start_s + SPAN_S >= record.duration_s:
            return
        start_s += SPAN_S - OVERLAP_S


def _find_header(path: Path) -> Path | None:
    """The WFDB header that is meant, if one is."""
    for candidate in (path, path.parent / f"{path.name}{HEADER_EXTENSION}"):
        if candidate.suffix == HEADER_EXTENSION and candidate.is_file():
            return candidate
    return None


def _load_header(path: Path) -> WfdbHeader:
    return parse_header(
        ArrivedFile(name=path.name, content=_read_bytes(path, 0, _MOST_HEADER_BYTES))
    )


def _count_samples(path: Path, header: WfdbHeader) -> int:
    """As the header states it, else as many as the first file holds."""
    if header.sample_count is not None:
        return header.sample_count
    signals = group_by_file(header)[0]
    signal_path = _get_signal_path(path, header, signals[0].file_name)
    byte_count = _size_of(signal_path) - signals[0].byte_offset
    return count_samples(get_storage(header, signals), byte_count) // len(signals)


def _read_samples(record: LongRecord, first: int, stop: int) -> Recording:
    """Only the bytes of the stretch, under a header that describes nothing else."""
    header = record.header
    if header is None:
        raise InvalidInput(f"{record.path.name} has no header to read by; open it anew")
    files = [ArrivedFile(name=header.file_name, content=b"")]
    for signals in group_by_file(header):
        storage = get_storage(header, signals)
        path = _get_signal_path(record.path, header, signals[0].file_name)
        start = signals[0].byte_offset + storage.count_bytes(first * len(signals))
        length = storage.count_bytes((stop - first) * len(signals))
        files.append(ArrivedFile(name=path.name, content=_read_bytes(path, start, length)))
    stretch = replace(
        header,
        sample_count=stop - first,
        signals=tuple(replace(each, byte_offset=0, checksum=None) for each in header.signals),
    )
    return decode_wfdb(Parcel(files=tuple(files)), stretch, record.hints)


def _get_signal_path(header_path: Path, header: WfdbHeader, name: str) -> Path:
    path = find_neighbour(header_path, name)
    if path is None or not path.is_file():
        raise CorruptFile(
            f"{header.file_name} refers to {name}, which does not lie beside it; "
            "put both files side by side",
            format_name=FORMAT_NAME,
            field="signal file",
        )
    return path


def _read_bytes(path: Path, start: int, length: int) -> bytes:
    try:
        with path.open("rb") as stream:
            stream.seek(start)
            return stream.read(length)
    except OSError as error:
        raise explain_unreadable(path, error) from error


def _size_of(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError as error:
        raise explain_unreadable(path, error) from error


def _describe_origin(path: Path, header: WfdbHeader) -> Origin:
    """Digest of the same list of files that a parcel would have, read in pieces."""
    names = dict.fromkeys(signal.file_name for signal in header.signals)
    paths = [path, *(_get_signal_path(path, header, name) for name in names)]
    listing = "".join(
        f"{_digest(each)}  {each.name}\n" for each in sorted(paths, key=lambda one: one.name)
    )
    return Origin(
        file_name=path.name,
        format_name=FORMAT_NAME,
        sha256=hashlib.sha256(listing.encode(errors="replace")).hexdigest(),
        byte_count=sum(map(_size_of, paths)),
    )


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise explain_unreadable(path, error) from error


def _cut(recording: Recording, first: int, stop: int) -> Recording:
    return replace(recording, microvolts=recording.microvolts[:, first:stop])
