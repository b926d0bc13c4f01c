"""The signal files that a WFDB header names: found, measured, unpacked, and their sums checked."""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter

import numpy as np

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats.limits import check_extent, check_sample_total
from couchside.formats.parcel import Parcel
from couchside.formats.wfdb_header import FORMAT_NAME, SignalLine, WfdbHeader
from couchside.formats.wfdb_signals import (
    STORAGE_FORMATS,
    Integers,
    StorageFormat,
    count_samples,
    sum_check,
)


def load_signals(parcel: Parcel, header: WfdbHeader, rate_hz: float) -> list[Integers]:
    """Stored integers of every signal, in the order of the header, each of shape (sample,).

    Raises
    ------
    FormatError
        If a signal file is missing, shorter than promised, fails its checksum, or is stored in a
        way that is not read here.
    """
    rows: list[Integers] = []
    for signals in group_by_file(header):
        content = get_content(parcel, header, signals[0].file_name)
        rows.extend(_unpack(header, signals, content, rate_hz))
    lengths = sorted({len(row) for row in rows})
    if len(lengths) > 1:
        raise CorruptFile(
            f"the signal files of {header.file_name} hold {lengths[0]} and {lengths[-1]} samples a "
            "lead, and all must be of one length; copy the record again",
            format_name=FORMAT_NAME,
        )
    return rows


def _unpack(
    header: WfdbHeader, signals: tuple[SignalLine, ...], content: bytes, rate_hz: float
) -> Integers:
    """Samples of the signals in one file, shape (signal, sample)."""
    storage = get_storage(header, signals)
    samples_at = content[signals[0].byte_offset :]
    sample_count = header.sample_count or count_samples(storage, len(samples_at)) // len(signals)
    total = sample_count * len(signals)
    check_extent(header.file_name, lead_count=1, sample_count=sample_count, rate_hz=rate_hz)
    check_sample_total(header.file_name, total)
    _check_content(header, signals[0].file_name, storage.count_bytes(total), len(samples_at))
    frames = storage.unpack(samples_at[: storage.count_bytes(total)], total)
    samples = np.ascontiguousarray(frames.reshape(sample_count, len(signals)).T)
    _check_sums(header, signals, samples)
    return samples


def group_by_file(header: WfdbHeader) -> list[tuple[SignalLine, ...]]:
    """Signals by the file in which they lie interleaved, in the order of the header.

    Raises
    ------
    CorruptFile
        If a file is named again after another one, for then the signals' order in it is not told.
    """
    groups = [tuple(group) for _, group in groupby(header.signals, key=attrgetter("file_name"))]
    names = [signals[0].file_name for signals in groups]
    if len(set(names)) < len(names):
        raise CorruptFile(
            f"{header.file_name} names a signal file, then another one, then the first again, and "
            "the signals in one file stand together; correct the header",
            format_name=FORMAT_NAME,
            field="signal file",
        )
    return groups


def get_storage(header: WfdbHeader, signals: tuple[SignalLine, ...]) -> StorageFormat:
    """How the signals of one file are packed; raises FormatError where that is not read here."""
    first = signals[0]
    if any(
        (each.storage_format, each.byte_offset) != (first.storage_format, first.byte_offset)
        for each in signals
    ):
        raise CorruptFile(
            f"{header.file_name} gives the signals in {first.file_name} different storage formats, "
            "and one file has one; correct the header",
            format_name=FORMAT_NAME,
            field="signal format",
        )
    if any(each.samples_per_frame != 1 or each.skew for each in signals):
        raise UnsupportedFeature(
            f"{header.file_name} stores signals at several rates or shifted against each other, "
            "which is not read; export all signals at one rate without skew",
            format_name=FORMAT_NAME,
            field="signal format",
        )
    if first.storage_format not in STORAGE_FORMATS:
        known = ", ".join(map(str, STORAGE_FORMATS))
        raise UnsupportedFeature(
            f"{first.file_name} is stored in WFDB format {first.storage_format}, and formats "
            f"{known} are read; convert it to format 16",
            format_name=FORMAT_NAME,
            field="signal format",
        )
    return STORAGE_FORMATS[first.storage_format]


def get_content(parcel: Parcel, header: WfdbHeader, file_name: str) -> bytes:
    """Bytes of a file to which a header refers; raises `CorruptFile` where it is missing."""
    file = parcel.find_file(file_name)
    if file is None:
        raise CorruptFile(
            f"{header.file_name} refers to {file_name}, which did not come along; "
            "put both files side by side, under the names that the header uses",
            format_name=FORMAT_NAME,
            field="signal file",
        )
    return file.content


def _check_content(header: WfdbHeader, file_name: str, needed: int, found: int) -> None:
    if found < needed:
        raise CorruptFile(
            f"{header.file_name} promises {needed} bytes of samples in {file_name}, which has "
            f"{found}; copy or export the record again",
            format_name=FORMAT_NAME,
            offset=found,
            field="samples",
        )


def _check_sums(header: WfdbHeader, signals: tuple[SignalLine, ...], samples: Integers) -> None:
    sums = sum_check(samples)
    for signal, found in zip(signals, sums.tolist(), strict=True):
        if signal.checksum is not None and found != signal.checksum & 0xFFFF:
            raise CorruptFile(
                f"{signal.description or 'a signal'} in {signal.file_name} adds up to "
                f"the checksum {found}, and {header.file_name} states {signal.checksum & 0xFFFF}; "
                "one of the two files is damaged: copy or export the record again",
                format_name=FORMAT_NAME,
                field="checksum",
            )
