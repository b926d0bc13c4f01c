"""How much is read into memory, checked from what a file promises before anything is allocated."""

from __future__ import annotations

import math

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.recording import MAX_LEADS

MAX_FILE_BYTES = 256_000_000
"""Bytes of one recording's files together: more than an hour of 18 leads at 1000 Hz and 16 bits."""

MAX_DURATION_S = 3600.0
"""An hour: a resting ECG takes seconds, the longest open reference records half an hour."""

MAX_SAMPLES = 24_000_000
"""Leads times samples: 192 MB once they are microvolts."""

RATE_RANGE_HZ = (1.0, 64_000.0)
"""What can be a sampling rate at all; whether it suits an ECG is for the check to say."""


def check_extent(file_name: str, *, lead_count: int, sample_count: int, rate_hz: float) -> None:
    """Refuse what is empty, cannot be a rate, or is too long to be read into memory.

    Raises
    ------
    CorruptFile
        If there are no leads or samples, or the rate cannot be one.
    UnsupportedFeature
        If there are more than 18 leads, more than an hour, or more than 24 million samples.
    """
    check_rate(file_name, rate_hz)
    if lead_count < 1 or sample_count < 1:
        raise CorruptFile(
            f"{file_name} holds no samples ({lead_count} leads of {sample_count} samples); "
            "export the recording again"
        )
    check_lead_count(file_name, lead_count)
    duration_s = sample_count / rate_hz
    if duration_s > MAX_DURATION_S:
        raise UnsupportedFeature(
            f"{file_name} is {describe_duration(duration_s)} long, and recordings of up to one "
            "hour are read; cut out the stretch that is wanted",
            field="duration",
        )
    check_sample_total(file_name, lead_count * sample_count)


def check_rate(file_name: str, rate_hz: float) -> None:
    """Refuse a number that cannot be a sampling rate at all.

    Raises
    ------
    CorruptFile
        If it is not a number from 1 to 64 000.
    """
    lowest, highest = RATE_RANGE_HZ
    if not (math.isfinite(rate_hz) and lowest <= rate_hz <= highest):
        raise CorruptFile(
            f"{file_name} states a sampling rate of {rate_hz:g} Hz, and {lowest:g} to "
            f"{highest:g} Hz can be; export the recording again",
            field="sampling rate",
        )


def check_sample_total(file_name: str, total: int) -> None:
    """Refuse more samples than are read into memory, those of signals left out included.

    Raises
    ------
    UnsupportedFeature
        If there are more than 24 million.
    """
    if total > MAX_SAMPLES:
        raise UnsupportedFeature(
            f"{file_name} holds {total} samples in all its signals, and up to {MAX_SAMPLES} are "
            "read; cut out the stretch that is wanted",
            field="sample count",
        )


def check_lead_count(file_name: str, lead_count: int) -> None:
    """Refuse more leads than a recording may have.

    Raises
    ------
    UnsupportedFeature
        If there are more than 18.
    """
    if lead_count > MAX_LEADS:
        raise UnsupportedFeature(
            f"{file_name} holds {lead_count} leads, and 1 to {MAX_LEADS} are read; "
            "export the leads that are wanted",
            field="lead count",
        )


def check_byte_count(file_name: str, byte_count: int) -> None:
    """Refuse a file that is too large to be one ECG.

    Raises
    ------
    UnsupportedFeature
        If it has more than 256 MB.
    """
    if byte_count > MAX_FILE_BYTES:
        raise UnsupportedFeature(
            f"{file_name} has {byte_count / 1e6:.0f} MB, and files of up to "
            f"{MAX_FILE_BYTES / 1e6:.0f} MB are read; cut out the stretch that is wanted",
            field="byte count",
        )


def describe_duration(duration_s: float) -> str:
    """A length of time as a person says it: ``"24 h"``, ``"90 min"``, ``"10 s"``."""
    if duration_s >= 2 * 3600:
        return f"{duration_s / 3600:.4g} h"
    if duration_s >= 2 * 60:
        return f"{duration_s / 60:.4g} min"
    return f"{duration_s:.4g} s"
