"""The multiplex groups of a DICOM waveform: channels of integers to leads of microvolts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from pydicom.uid import ExplicitVRBigEndian

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats.dicom_channel import (
    describe_channels,
    find_narrowest,
    read_channel,
    read_settings,
)
from couchside.formats.dicom_codes import SAMPLE_TYPES
from couchside.formats.dicom_item import FORMAT_NAME, DicomItem
from couchside.formats.hints import ReadHints
from couchside.formats.limits import check_extent, check_sample_total
from couchside.formats.naming import name_each_once
from couchside.recording import MAX_LEADS, AcquisitionSettings

Samples = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DicomGroup:
    """One multiplex group.

    Parameters
    ----------
    label : str
        As the file states it, such as ``RHYTHM`` or ``MEDIAN BEAT``.
    is_original : bool
        Whether the samples came from the patient, rather than being computed from others.
    leads : tuple of str
        Channels that are voltages.
    microvolts : array of shape (lead, sample)
        NaN where the padding value stands.
    rate_hz : float
        Samples per second.
    time_offset_ms : float
        From the acquisition time to the first sample.
    settings : AcquisitionSettings
        Filters and resolution.
    remarks : tuple of str
        What the channels say of themselves.
    """

    label: str
    is_original: bool
    leads: tuple[str, ...]
    microvolts: Samples
    rate_hz: float
    time_offset_ms: float
    settings: AcquisitionSettings
    remarks: tuple[str, ...]


def decode_groups(root: DicomItem, hints: ReadHints) -> tuple[DicomGroup, ...]:
    """Decode every multiplex group that holds voltages, in the order of the file.

    Raises
    ------
    FormatError
        If a group promises more samples than it holds, names no lead for a channel, states a
        rate or a sensitivity that cannot be, or there is no group.
    InvalidInput
        If a channel states no sensitivity and no hint was given.

    Notes
    -----
    µV = (stored × sensitivity × correction factor + baseline) × µV per unit [DICOM-PS3.3 C.10.9].
    """
    items = root.items("WaveformSequence")
    if not items:
        raise CorruptFile(
            f"{root.file_name} is a DICOM ECG without any samples; export the recording again",
            format_name=FORMAT_NAME,
            field="WaveformSequence",
        )
    check_sample_total(
        root.file_name,
        sum(
            item.count("NumberOfWaveformChannels") * item.count("NumberOfWaveformSamples")
            for item in items
        ),
    )
    is_big_endian = _is_big_endian(root)
    decoded = [_decode_group(item, hints, is_big_endian=is_big_endian) for item in items]
    groups = tuple(group for group in decoded if group is not None)
    if not groups:
        raise CorruptFile(
            f"{root.file_name} holds no channel in a unit of voltage; export the ECG itself",
            format_name=FORMAT_NAME,
            field="ChannelSensitivityUnitsSequence",
        )
    return groups


def join_simultaneous(groups: tuple[DicomGroup, ...]) -> tuple[DicomGroup, ...]:
    """Make one group of original groups that hold different leads of the same seconds.

    Parameters
    ----------
    groups : tuple of DicomGroup
        In the order of the file.

    Returns
    -------
    tuple of DicomGroup
        Joined ones stand where their first part stood.
    """
    joined: list[DicomGroup] = []
    for group in groups:
        position = next(
            (place for place, earlier in enumerate(joined) if _are_simultaneous(earlier, group)),
            None,
        )
        if position is None:
            joined.append(group)
        else:
            joined[position] = _join(joined[position], group)
    return tuple(joined)


def _decode_group(item: DicomItem, hints: ReadHints, *, is_big_endian: bool) -> DicomGroup | None:
    definitions = item.items("ChannelDefinitionSequence")
    channel_count = item.count("NumberOfWaveformChannels")
    if channel_count != len(definitions):
        raise item.damage(
            f"{channel_count} leads (and describes {len(definitions)})", "NumberOfWaveformChannels"
        )
    rate_hz = item.number("SamplingFrequency") or 0.0
    sample_count = item.count("NumberOfWaveformSamples")
    read = [read_channel(each, position, hints) for position, each in enumerate(definitions)]
    channels = [channel for channel in read if channel is not None]
    if not channels and definitions:
        return None
    check_extent(
        item.file_name, lead_count=len(channels), sample_count=sample_count, rate_hz=rate_hz
    )
    leads = name_each_once(item.file_name, tuple(channel.lead for channel in channels))
    stored, missing = _decode_samples(
        item, channel_count, sample_count, is_big_endian=is_big_endian
    )
    chosen = [channel.position for channel in channels]
    scale = np.array([[channel.sign * channel.step_uv] for channel in channels])
    shift = np.array([[channel.sign * channel.baseline_uv] for channel in channels])
    microvolts = stored[chosen] * scale + shift
    microvolts[missing[chosen]] = np.nan
    return DicomGroup(
        label=item.text("MultiplexGroupLabel"),
        is_original=item.text("WaveformOriginality") != "DERIVED",
        leads=leads,
        microvolts=microvolts,
        rate_hz=rate_hz,
        time_offset_ms=item.number("MultiplexGroupTimeOffset") or 0.0,
        settings=find_narrowest(
            *(read_settings(definitions[each.position], each) for each in channels)
        ),
        remarks=describe_channels(definitions, read),
    )


def _decode_samples(
    item: DicomItem, channel_count: int, sample_count: int, *, is_big_endian: bool
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Stored numbers of shape (channel, sample), and where the padding value stands."""
    bits = item.count("WaveformBitsAllocated")
    interpretation = item.text("WaveformSampleInterpretation")
    if (bits, interpretation) not in SAMPLE_TYPES:
        raise UnsupportedFeature(
            f"{item.file_name} stores samples as {bits} bits {interpretation[:16]}"
            ", and SB, UB, SS, US, SL and UL of 8, 16 and 32 bits are read; "
            "export it as signed 16-bit samples",
            format_name=FORMAT_NAME,
            field="WaveformSampleInterpretation",
        )
    kind = np.dtype((">" if is_big_endian else "<") + SAMPLE_TYPES[bits, interpretation])
    content = item.content("WaveformData")
    needed = channel_count * sample_count * kind.itemsize
    if len(content) < needed:
        raise CorruptFile(
            f"{item.file_name} promises {sample_count} samples of {channel_count} leads, which "
            f"take {needed} bytes, and holds {len(content)}; copy or export the recording again",
            format_name=FORMAT_NAME,
            offset=len(content),
            field="WaveformData",
        )
    flat = np.frombuffer(content, dtype=kind, count=channel_count * sample_count)
    stored = flat.reshape(sample_count, channel_count).T.astype(np.int64)
    padding = item.content("WaveformPaddingValue")[: kind.itemsize]
    if len(padding) < kind.itemsize:
        return stored, np.zeros(stored.shape, dtype=np.bool_)
    return stored, stored == int(np.frombuffer(padding, dtype=kind)[0])


def _are_simultaneous(first: DicomGroup, second: DicomGroup) -> bool:
    return (
        first.is_original
        and second.is_original
        and first.rate_hz == second.rate_hz
        and first.microvolts.shape[1] == second.microvolts.shape[1]
        and first.time_offset_ms == second.time_offset_ms
        and not set(first.leads) & set(second.leads)
        and len(first.leads) + len(second.leads) <= MAX_LEADS
    )


def _join(first: DicomGroup, second: DicomGroup) -> DicomGroup:
    return replace(
        first,
        leads=first.leads + second.leads,
        microvolts=np.concatenate([first.microvolts, second.microvolts]),
        settings=find_narrowest(first.settings, second.settings),
        remarks=first.remarks + second.remarks,
    )


def _is_big_endian(root: DicomItem) -> bool:
    meta = getattr(root.dataset, "file_meta", None)
    return meta is not None and meta.get("TransferSyntaxUID") == ExplicitVRBigEndian
