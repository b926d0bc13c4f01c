"""WFDB records to recordings."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from couchside.errors import CorruptFile, InvalidInput, UnsupportedFeature
from couchside.formats.hints import ReadHints
from couchside.formats.limits import check_extent, check_lead_count
from couchside.formats.naming import name_each_once
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.units import find_microvolts_per
from couchside.formats.wfdb_comments import parse_start, read_comments
from couchside.formats.wfdb_files import get_content, load_signals
from couchside.formats.wfdb_header import (
    DEFAULT_GAIN_PER_MV,
    DEFAULT_UNIT,
    FORMAT_NAME,
    GAP,
    SegmentLine,
    SignalLine,
    WfdbHeader,
    check_promise,
    parse_header,
)
from couchside.formats.wfdb_signals import STORAGE_FORMATS, Integers
from couchside.recording import AcquisitionSettings, Recording, canonical_lead_name

Samples = NDArray[np.float64]


def read_wfdb(parcel: Parcel, hints: ReadHints) -> Recording:
    """Read a WFDB record: its header, then the signal files that the header names.

    Parameters
    ----------
    parcel : Parcel
        The header first, then its signal files, or its segments with theirs.
    hints : ReadHints
        A rate where the header states none, and a step where a signal is uncalibrated.

    Returns
    -------
    Recording
        Signals that are voltages, in µV; NaN where the stored number marks a missing sample.

    Raises
    ------
    FormatError
        If a file is missing, shorter than promised, fails its checksum, or is stored in a way
        that is not read here.
    InvalidInput
        If the header states no rate, or a gain of 0 steps per unit, and no hint was given.

    Notes
    -----
    Source: [WFDB-header], [WFDB-signal].
    """
    return decode_wfdb(parcel, parse_header(parcel.main), hints)


def decode_wfdb(parcel: Parcel, header: WfdbHeader, hints: ReadHints) -> Recording:
    """Read what a header describes; raises what `read_wfdb` raises.

    Parameters
    ----------
    parcel : Parcel
        The files that the header refers to.
    header : WfdbHeader
        As parsed, or changed so that it describes a stretch of the record.
    hints : ReadHints
        As for `read_wfdb`.
    """
    rate_hz = get_rate_hz(header, hints)
    check_promise(header, rate_hz)
    piece = (
        _read_segments(parcel, header, rate_hz, hints)
        if header.segments
        else _read_piece(parcel, header, rate_hz, hints)
    )
    check_extent(
        header.file_name,
        lead_count=len(piece.leads),
        sample_count=piece.microvolts.shape[1],
        rate_hz=rate_hz,
    )
    patient, remarks = read_comments(header.comments)
    start, start_remarks = parse_start(header.start_text)
    return Recording(
        leads=piece.leads,
        microvolts=piece.microvolts,
        rate_hz=rate_hz,
        start=start,
        patient=patient,
        settings=AcquisitionSettings(resolution_uv=piece.resolution_uv),
        remarks=start_remarks + piece.remarks + remarks,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Piece:
    """A stretch of signals: a whole record, or one segment."""

    leads: tuple[str, ...]
    microvolts: Samples
    resolution_uv: float | None
    remarks: tuple[str, ...]


def get_rate_hz(header: WfdbHeader, hints: ReadHints) -> float:
    """Rate as stated, else as hinted; raises InvalidInput where neither says."""
    rate_hz = header.rate_hz if header.rate_hz is not None else hints.rate_hz
    if rate_hz is None:
        raise InvalidInput(
            f"{header.file_name} states no sampling rate; give it with --rate, such as --rate 500"
        )
    return rate_hz


def _read_piece(parcel: Parcel, header: WfdbHeader, rate_hz: float, hints: ReadHints) -> _Piece:
    per_unit = {
        position: microvolts
        for position, signal in enumerate(header.signals)
        if (microvolts := find_microvolts_per(signal.unit or DEFAULT_UNIT)) is not None
    }
    chosen = list(per_unit)
    _check_chosen(header, chosen)
    steps_uv = [
        _get_step_uv(header, header.signals[position], per_unit[position], hints)
        for position in chosen
    ]
    leads = name_each_once(
        header.file_name, tuple(_name_lead(header, position) for position in chosen)
    )
    stored = load_signals(parcel, header, rate_hz)
    samples_uv = np.empty((len(chosen), len(stored[0])))
    for row, position, step_uv in zip(samples_uv, chosen, steps_uv, strict=True):
        _fill_in(row, stored[position], header.signals[position], step_uv)
    is_calibrated = all(header.signals[position].gain_per_unit for position in chosen)
    return _Piece(
        leads=leads,
        microvolts=samples_uv,
        resolution_uv=max(abs(step_uv) for step_uv in steps_uv) if is_calibrated else None,
        remarks=_describe_left_out(header, chosen) + _describe_uncalibrated(header, chosen, hints),
    )


def _check_chosen(header: WfdbHeader, chosen: list[int]) -> None:
    if not chosen:
        units = ", ".join(sorted({signal.unit for signal in header.signals})) or "none"
        raise CorruptFile(
            f"{header.file_name} holds no signal in a unit of voltage (its units: {units}); "
            "give a record that holds an ECG",
            format_name=FORMAT_NAME,
            field="units",
        )
    check_lead_count(header.file_name, len(chosen))


def _get_step_uv(
    header: WfdbHeader, signal: SignalLine, microvolts_per_unit: float, hints: ReadHints
) -> float:
    """Microvolts in one stored step.

    A bare gain of 0, or none, is the format's way to say "not calibrated", for which it names a
    default; a gain of 0 beside a unit contradicts itself.
    """
    if signal.gain_per_unit:
        return microvolts_per_unit / signal.gain_per_unit
    if hints.microvolts_per_unit is not None:
        return hints.microvolts_per_unit
    if signal.unit:
        raise InvalidInput(
            f"{header.file_name} gives signal {signal.description or signal.file_name} a gain of 0 "
            f"steps per {signal.unit}, and a gain is above 0; correct the header, or give the "
            "microvolts in one step with --unit, such as --unit 5 for 200 steps per mV"
        )
    return microvolts_per_unit / DEFAULT_GAIN_PER_MV


def _describe_uncalibrated(
    header: WfdbHeader, chosen: list[int], hints: ReadHints
) -> tuple[str, ...]:
    if hints.microvolts_per_unit is not None:
        return ()
    return tuple(
        f"Lead {_name_lead(header, position)} states no gain, so amplitudes are not calibrated: "
        f"{DEFAULT_GAIN_PER_MV:g} steps per mV are taken, as the format says."
        for position in chosen
        if not header.signals[position].gain_per_unit
    )


def _name_lead(header: WfdbHeader, position: int) -> str:
    name = canonical_lead_name(header.signals[position].description)
    return name or f"signal {position + 1}"


def _fill_in(row: Samples, stored: Integers, signal: SignalLine, step_uv: float) -> None:
    """Put one signal's microvolts into its row; NaN where a sample is missing."""
    row[:] = stored
    row -= signal.baseline
    row *= step_uv
    is_missing = stored == STORAGE_FORMATS[signal.storage_format].missing_value
    if is_missing.any():
        row[is_missing] = np.nan


def _describe_left_out(header: WfdbHeader, chosen: list[int]) -> tuple[str, ...]:
    return tuple(
        f"{signal.description or position + 1} ({signal.unit}) is no voltage and was left out."
        for position, signal in enumerate(header.signals)
        if position not in chosen
    )


def _read_segments(parcel: Parcel, header: WfdbHeader, rate_hz: float, hints: ReadHints) -> _Piece:
    """Segments one after another; a lead that a segment lacks is missing there."""
    pieces: list[tuple[int, _Piece]] = []
    position = 0
    for segment in header.segments:
        if segment.name != GAP and segment.sample_count > 0:
            pieces.append((position, _read_segment(parcel, header, segment, rate_hz, hints)))
        position += segment.sample_count
    if not pieces:
        raise CorruptFile(
            f"{header.file_name} lists no segment that holds samples; copy the record again",
            format_name=FORMAT_NAME,
            field="segments",
        )
    leads = tuple(dict.fromkeys(lead for _, piece in pieces for lead in piece.leads))
    check_lead_count(header.file_name, len(leads))
    microvolts = np.full((len(leads), position), np.nan)
    for first, piece in pieces:
        rows = [leads.index(lead) for lead in piece.leads]
        microvolts[rows, first : first + piece.microvolts.shape[1]] = piece.microvolts
    return _Piece(
        leads=leads,
        microvolts=microvolts,
        resolution_uv=_coarsest([piece.resolution_uv for _, piece in pieces]),
        remarks=tuple(dict.fromkeys(text for _, piece in pieces for text in piece.remarks)),
    )


def _coarsest(steps_uv: list[float | None]) -> float | None:
    known = [step_uv for step_uv in steps_uv if step_uv is not None]
    return max(known) if len(known) == len(steps_uv) else None


def _read_segment(
    parcel: Parcel, whole: WfdbHeader, segment: SegmentLine, rate_hz: float, hints: ReadHints
) -> _Piece:
    name = f"{segment.name}.hea"
    header = parse_header(ArrivedFile(name=name, content=get_content(parcel, whole, name)))
    if header.segments or header.sample_count not in {None, segment.sample_count}:
        raise CorruptFile(
            f"{whole.file_name} gives segment {segment.name} {segment.sample_count} samples, and "
            f"{name} describes something else; copy the record again",
            format_name=FORMAT_NAME,
            field="segments",
        )
    if header.rate_hz not in {None, rate_hz}:
        raise UnsupportedFeature(
            f"{name} is sampled at {header.rate_hz:g} Hz and {whole.file_name} at another rate; "
            "export the record at one rate",
            format_name=FORMAT_NAME,
            field="sampling rate",
        )
    return _read_piece(parcel, replace(header, sample_count=segment.sample_count), rate_hz, hints)
