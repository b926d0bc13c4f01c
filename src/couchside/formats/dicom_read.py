"""DICOM ECG waveforms to recordings."""

from __future__ import annotations

from datetime import datetime, timedelta

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats.dicom_codes import ECG_CLASSES
from couchside.formats.dicom_context import (
    find_start,
    read_device,
    read_order,
    read_patient,
    read_placement,
    read_texts,
)
from couchside.formats.dicom_item import FORMAT_NAME, DicomItem, describe_kind, parse_dicom
from couchside.formats.dicom_waveform import DicomGroup, decode_groups, join_simultaneous
from couchside.formats.hints import NO_HINTS, ReadHints
from couchside.formats.parcel import Parcel
from couchside.recording import Recording


def read_dicom(parcel: Parcel, hints: ReadHints) -> Recording:
    """Read a 12-lead, General, Ambulatory or 32-bit General ECG.

    Parameters
    ----------
    parcel : Parcel
        One DICOM file.
    hints : ReadHints
        A step in µV where a channel states no sensitivity.

    Returns
    -------
    Recording
        Of the rhythm: among the original groups, after those recorded at the same time have been
        joined, that with the most leads, then the longest, then the first. Other groups, such as a
        median beat, are named in the remarks and are read by `read_dicom_groups`.

    Raises
    ------
    FormatError
        If the file is damaged, is a DICOM object of another kind, or breaks a limit.
    InvalidInput
        If a channel states no sensitivity and no hint was given.

    Notes
    -----
    Source: [DICOM-PS3.3] A.34, C.10.9.
    """
    root = _parse_ecg(parcel)
    groups = join_simultaneous(decode_groups(root, hints))
    rhythm = max(groups, key=_rank)
    return Recording(
        leads=rhythm.leads,
        microvolts=rhythm.microvolts,
        rate_hz=rhythm.rate_hz,
        start=_shift(find_start(root), rhythm.time_offset_ms),
        patient=read_patient(root),
        settings=rhythm.settings,
        placement=read_placement(root),
        device=read_device(root),
        order=read_order(root),
        remarks=read_texts(root) + rhythm.remarks + _describe_others(groups, rhythm),
    )


def read_dicom_groups(parcel: Parcel, hints: ReadHints = NO_HINTS) -> tuple[DicomGroup, ...]:
    """Every multiplex group of a DICOM ECG that holds voltages, such as rhythm and median beat.

    Raises
    ------
    FormatError, InvalidInput
        As `read_dicom`.
    """
    return decode_groups(_parse_ecg(parcel), hints)


def _parse_ecg(parcel: Parcel) -> DicomItem:
    file = parcel.main
    root = parse_dicom(file)
    kind = root.text("SOPClassUID")
    if not kind:
        raise CorruptFile(
            f"{file.name} begins as a DICOM file, but does not say what it holds; "
            "copy or export the recording again",
            format_name=FORMAT_NAME,
            field="SOPClassUID",
        )
    if kind not in ECG_CLASSES:
        raise UnsupportedFeature(
            f"{file.name} is a DICOM object of the kind {describe_kind(kind)}, "
            f"not an ECG waveform; export the ECG as {' or '.join(list(ECG_CLASSES.values())[:2])}",
            format_name=FORMAT_NAME,
            field="SOPClassUID",
        )
    return root


def _rank(group: DicomGroup) -> tuple[bool, int, float]:
    return group.is_original, len(group.leads), group.microvolts.shape[1] / group.rate_hz


def _shift(start: datetime | None, offset_ms: float) -> datetime | None:
    if start is None or not abs(offset_ms) < 86_400_000:
        return start
    try:
        return start + timedelta(milliseconds=offset_ms)
    except OverflowError:  # the last day of the calendar, which no clock that was set states
        return start


def _describe_others(groups: tuple[DicomGroup, ...], rhythm: DicomGroup) -> tuple[str, ...]:
    return tuple(
        f"The file also holds {group.label or 'a further group'}: {len(group.leads)} leads, "
        f"{group.microvolts.shape[1] / group.rate_hz:g} s."
        for group in groups
        if group is not rhythm
    )
