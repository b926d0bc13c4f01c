"""The multiplex groups of a DICOM waveform: channels of integers to leads of microvolts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pydicom.uid import ExplicitVRBigEndian

from couchside.errors import CorruptFile, InvalidInput, UnsupportedFeature
from couchside.formats.dicom_codes import (
    DERIVED_LEAD_NUMBERS,
    INVERTED_AVR_NUMBER,
    LEAD_NUMBERS,
    MDC_LEAD_PREFIX,
    SAMPLE_TYPES,
    SCPECG_LEAD_PREFIX,
)
from couchside.formats.dicom_item import FORMAT_NAME, DicomItem
from couchside.formats.hints import ReadHints
from couchside.formats.limits import check_extent, check_lead_count
from couchside.formats.units import find_microvolts_per
from couchside.recording import AcquisitionSettings, Lead, canonical_lead_name

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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Channel:
    position: int
    lead: str
    sign: float
    step_uv: float
    baseline_uv: float


def _decode_group(item: DicomItem, hints: ReadHints, *, is_big_endian: bool) -> DicomGroup | None:
    definitions = item.items("ChannelDefinitionSequence")
    channel_count = item.count("NumberOfWaveformChannels")
    if channel_count != len(definitions):
        raise item.damage(
            f"{channel_count} beside {len(definitions)} channel definitions",
            "NumberOfWaveformChannels",
        )
    rate_hz = item.number("SamplingFrequency") or 0.0
    sample_count = item.count("NumberOfWaveformSamples")
    read = [_read_channel(each, position, hints) for position, each in enumerate(definitions)]
    channels = [channel for channel in read if channel is not None]
    if not channels and definitions:
        return None
    check_extent(
        item.file_name, lead_count=len(channels), sample_count=sample_count, rate_hz=rate_hz
    )
    _check_names(item, [channel.lead for channel in channels])
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
        leads=tuple(channel.lead for channel in channels),
        microvolts=microvolts,
        rate_hz=rate_hz,
        time_offset_ms=item.number("MultiplexGroupTimeOffset") or 0.0,
        settings=_read_settings(
            [definitions[position] for position in chosen],
            max(abs(channel.step_uv) for channel in channels),
        ),
        remarks=_describe_channels(definitions, read),
    )


def _read_channel(definition: DicomItem, position: int, hints: ReadHints) -> _Channel | None:
    """The channel, or None where its unit is no voltage."""
    unit = _find_unit(definition)
    per_unit = find_microvolts_per(unit) if unit else None
    if unit and per_unit is None:
        return None
    lead, sign = _read_lead(definition, position)
    sensitivity = definition.number("ChannelSensitivity")
    if sensitivity is None or per_unit is None:
        step_uv = _get_hinted_step(definition, lead, hints)
        return _Channel(position=position, lead=lead, sign=sign, step_uv=step_uv, baseline_uv=0.0)
    correction = definition.number("ChannelSensitivityCorrectionFactor")
    step_uv = sensitivity * per_unit * (1.0 if correction is None else correction)
    if step_uv == 0 or not np.isfinite(step_uv):
        raise definition.damage(f"{sensitivity:g} for lead {lead}", "ChannelSensitivity")
    baseline_uv = (definition.number("ChannelBaseline") or 0.0) * per_unit
    if not np.isfinite(baseline_uv):
        raise definition.damage(f"{baseline_uv:g} for lead {lead}", "ChannelBaseline")
    return _Channel(
        position=position, lead=lead, sign=sign, step_uv=step_uv, baseline_uv=baseline_uv
    )


def _find_unit(definition: DicomItem) -> str:
    codes = definition.items("ChannelSensitivityUnitsSequence")
    return codes[0].text("CodeValue") if codes else ""


def _get_hinted_step(definition: DicomItem, lead: str, hints: ReadHints) -> float:
    if hints.microvolts_per_unit is None:
        raise InvalidInput(
            f"{definition.file_name} states no sensitivity for lead {lead}, so its amplitudes are "
            "not calibrated; give the microvolts in one step with --unit, such as --unit 2.5"
        )
    return hints.microvolts_per_unit


def _read_lead(definition: DicomItem, position: int) -> tuple[str, float]:
    """Name of the lead, and −1 where the channel holds it upside down."""
    sources = definition.items("ChannelSourceSequence")
    if not sources or not sources[0].text("CodeValue"):
        raise CorruptFile(
            f"{definition.file_name} does not say which lead channel {position + 1} is "
            "(no ChannelSourceSequence); export the recording again with lead names",
            format_name=FORMAT_NAME,
            field="ChannelSourceSequence",
        )
    number = _find_lead_number(sources[0])
    if number == INVERTED_AVR_NUMBER:
        return Lead.AVR.value, -1.0
    known = _LEAD_OF_NUMBER.get(-1 if number is None else number)
    if known is not None:
        return str(known), 1.0
    named = definition.text("ChannelLabel") or sources[0].text("CodeMeaning")
    return canonical_lead_name(named) or f"channel {position + 1}", 1.0


def _find_lead_number(source: DicomItem) -> int | None:
    prefix = {"MDC": MDC_LEAD_PREFIX, "SCPECG": SCPECG_LEAD_PREFIX}.get(
        source.text("CodingSchemeDesignator")
    )
    code = source.text("CodeValue")
    if prefix is None or not code.startswith(prefix):
        return None
    digits = code.removeprefix(prefix)
    return int(digits) if digits.isdecimal() and len(digits) < 6 else None


_LEAD_OF_NUMBER = {number: lead for lead, number in LEAD_NUMBERS.items()} | DERIVED_LEAD_NUMBERS


def _check_names(item: DicomItem, leads: list[str]) -> None:
    check_lead_count(item.file_name, len(leads))
    doubled = sorted({lead for lead in leads if leads.count(lead) > 1})
    if doubled:
        raise item.damage(f"lead {', '.join(doubled)} more than once", "ChannelSourceSequence")


def _decode_samples(
    item: DicomItem, channel_count: int, sample_count: int, *, is_big_endian: bool
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Stored numbers of shape (channel, sample), and where the padding value stands."""
    bits = item.count("WaveformBitsAllocated")
    interpretation = item.text("WaveformSampleInterpretation")
    if (bits, interpretation) not in SAMPLE_TYPES:
        raise UnsupportedFeature(
            f"{item.file_name} stores samples as {bits} bits {interpretation or 'of unstated kind'}"
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


def _is_big_endian(root: DicomItem) -> bool:
    meta = getattr(root.dataset, "file_meta", None)
    return meta is not None and meta.get("TransferSyntaxUID") == ExplicitVRBigEndian


def _read_settings(definitions: list[DicomItem], resolution_uv: float) -> AcquisitionSettings:
    """The narrowest pass band of the leads, for a reader must know the worst of them."""

    def stated(keyword: str) -> list[float]:
        numbers = (definition.number(keyword) for definition in definitions)
        return [number for number in numbers if number is not None]

    return AcquisitionSettings(
        high_pass_hz=max(stated("FilterLowFrequency"), default=None),
        low_pass_hz=min(stated("FilterHighFrequency"), default=None),
        notch_hz=max(stated("NotchFilterFrequency"), default=None),
        resolution_uv=resolution_uv,
    )


def _describe_channels(
    definitions: tuple[DicomItem, ...], read: list[_Channel | None]
) -> tuple[str, ...]:
    remarks: list[str] = []
    for position, (definition, channel) in enumerate(zip(definitions, read, strict=True)):
        if channel is None:
            label = definition.text("ChannelLabel") or f"Channel {position + 1}"
            remarks.append(f"{label} ({_find_unit(definition)}) is no voltage and was left out.")
            continue
        status = definition.text("ChannelStatus")
        if status not in {"", "OK"}:
            remarks.append(f"Lead {channel.lead}: the recorder states {status}.")
    return tuple(remarks)
