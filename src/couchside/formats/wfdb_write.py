"""Recordings to WFDB records."""

from __future__ import annotations

import re
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.quantising import choose_step_uv, quantise
from couchside.formats.wfdb_comments import OLDEST_YEARS
from couchside.formats.wfdb_signals import sum_check
from couchside.recording import Recording, Sex

MICROVOLTS_PER_MV = 1000.0
INFANT_BELOW_YEARS = 2
"""Up to here limits change from week to week and from month to month."""


def write_wfdb(recording: Recording, name: str) -> Parcel:
    """Write a recording as a WFDB record: a header, and one signal file in format 16.

    Parameters
    ----------
    recording : Recording
        Samples are rounded to 16 bits in steps of the recording's own resolution, else 1 µV,
        coarser only where they would not fit.
    name : str
        The record's name: letters, digits, ``_`` and ``-``.

    Returns
    -------
    Parcel
        ``name.hea`` first, then ``name.dat``.

    Raises
    ------
    InvalidInput
        If the name or a lead's name cannot stand in a header.

    Notes
    -----
    Of the patient only sex and the age on the day are written, in the way open data do; a header
    has no place for the rest, nor for a zone, which goes into a comment. Source: [WFDB-header],
    [WFDB-signal].
    """
    if not re.fullmatch(r"[A-Za-z0-9_-]+", name):
        raise InvalidInput(
            f"{name!r} cannot name a WFDB record; use letters, digits, '_' and '-' only"
        )
    gain_text = f"{MICROVOLTS_PER_MV / choose_step_uv(recording):.12g}"
    stored = quantise(recording.microvolts, MICROVOLTS_PER_MV / float(gain_text))
    sums = sum_check(stored.astype(np.int64)).astype(np.uint16).view(np.int16)
    lines = [
        _build_record_line(recording, name),
        *(
            f"{name}.dat 16 {gain_text}(0)/mV 16 0 {row[0]} {total} 0 {_check_lead(lead)}"
            for lead, row, total in zip(recording.leads, stored, sums, strict=True)
        ),
        *(f"# {comment}" for comment in _list_comments(recording)),
    ]
    header = "".join(f"{line}\n" for line in lines)
    return Parcel(
        files=(
            ArrivedFile(name=f"{name}.hea", content=header.encode()),
            ArrivedFile(name=f"{name}.dat", content=_interleave(stored)),
        )
    )


def _build_record_line(recording: Recording, name: str) -> str:
    rate_text = repr(recording.rate_hz).removesuffix(".0")
    line = f"{name} {len(recording.leads)} {rate_text} {recording.sample_count}"
    return line if recording.start is None else f"{line} {_format_start(recording.start)}"


def _format_start(start: datetime) -> str:
    """Time and date [WFDB-header]; four digits of a year even before 1000."""
    return f"{start:%H:%M:%S.%f} {start:%d/%m/}{start.year:04d}"


def _check_lead(lead: str) -> str:
    if not lead.strip() or not lead.isprintable():
        raise InvalidInput(f"{lead!r} cannot name a lead in a WFDB header; rename it")
    return lead


def _list_comments(recording: Recording) -> list[str]:
    comments: list[str] = []
    age_years = _find_age_years(recording)
    if age_years is not None:
        comments.append(f"Age: {age_years:g}")
    if recording.patient.sex is not Sex.NOT_STATED:
        comments.append(f"Sex: {recording.patient.sex.value.capitalize()}")
    if recording.start is not None and recording.start.tzinfo is not None:
        comments.append(f"The start is in the zone {recording.start:%z}.")
    return comments + [line for remark in recording.remarks for line in remark.splitlines()]


def _find_age_years(recording: Recording) -> float | None:
    """From the date of birth in whole years, of an infant in thousandths; else as stated."""
    birth, start = recording.patient.birth_date, recording.start
    if birth is None or start is None:
        return recording.patient.stated_age_years
    is_before_birthday = (start.month, start.day) < (birth.month, birth.day)
    whole_years = start.year - birth.year - is_before_birthday
    if not 0 <= whole_years <= OLDEST_YEARS:
        return None
    age_years = recording.patient.age_years_on(start.date())
    if age_years is not None and whole_years < INFANT_BELOW_YEARS:
        return round(age_years, 3)
    return float(whole_years)


def _interleave(stored: NDArray[np.int16]) -> bytes:
    return stored.T.astype("<i2").tobytes()
