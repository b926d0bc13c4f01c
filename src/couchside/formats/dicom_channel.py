"""Channel definitions of a DICOM waveform: which lead, what one step is worth, which filters."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.errors import CorruptFile, InvalidInput
from couchside.formats.dicom_codes import (
    DERIVED_LEAD_NUMBERS,
    INVERTED_AVR_NUMBER,
    LEAD_NUMBERS,
    MDC_LEAD_PREFIX,
    SCPECG_LEAD_PREFIX,
)
from couchside.formats.dicom_item import FORMAT_NAME, LONGEST_NAME, DicomItem
from couchside.formats.hints import ReadHints
from couchside.formats.units import find_microvolts_per
from couchside.recording import AcquisitionSettings, Lead, canonical_lead_name

LARGEST_STEP_UV = 1e9
LARGEST_BASELINE_UV = 1e12
"""A kilovolt a step, and a thousand times that: beyond, a number is damaged, not absurd."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One channel that is a voltage.

    µV = sign × (stored × `step_uv` + `baseline_uv`); `sign` is −1 where the lead is stored upside
    down; `is_hinted` says that the step came from the person who brought the file.
    """

    position: int
    lead: str
    sign: float
    step_uv: float
    baseline_uv: float
    is_hinted: bool = False


def read_channel(definition: DicomItem, position: int, hints: ReadHints) -> Channel | None:
    """Read a channel definition; None where its unit is no voltage.

    Raises
    ------
    CorruptFile
        If it names no lead, or its sensitivity or baseline cannot be.
    InvalidInput
        If it states no sensitivity and no hint was given.
    """
    unit = _find_unit(definition)
    per_unit = find_microvolts_per(unit) if unit else None
    if unit and per_unit is None:
        return None
    lead, sign = _read_lead(definition, position)
    sensitivity = definition.number("ChannelSensitivity")
    if sensitivity is None or per_unit is None:
        return Channel(
            position=position,
            lead=lead,
            sign=sign,
            step_uv=_get_hinted_step(definition, lead, hints),
            baseline_uv=0.0,
            is_hinted=True,
        )
    correction = definition.number("ChannelSensitivityCorrectionFactor")
    step_uv = sensitivity * per_unit * (1.0 if correction is None else correction)
    if not 0 < abs(step_uv) <= LARGEST_STEP_UV:
        raise definition.damage(f"{sensitivity:g} for lead {lead}", "ChannelSensitivity")
    baseline_uv = (definition.number("ChannelBaseline") or 0.0) * per_unit
    if not abs(baseline_uv) <= LARGEST_BASELINE_UV:
        raise definition.damage(f"{baseline_uv:g} for lead {lead}", "ChannelBaseline")
    return Channel(
        position=position, lead=lead, sign=sign, step_uv=step_uv, baseline_uv=baseline_uv
    )


def _find_unit(definition: DicomItem) -> str:
    codes = definition.items("ChannelSensitivityUnitsSequence")
    return codes[0].text("CodeValue") if codes else ""


def _get_hinted_step(definition: DicomItem, lead: str, hints: ReadHints) -> float:
    if hints.microvolts_per_unit is None:
        raise InvalidInput(
            f"{definition.file_name} states no sensitivity in a unit of voltage for lead {lead}, "
            "so its amplitudes are not calibrated; give the microvolts in one step with --unit, "
            "such as --unit 2.5"
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
    return canonical_lead_name(named[:LONGEST_NAME]) or f"channel {position + 1}", 1.0


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


def find_narrowest(*all_settings: AcquisitionSettings) -> AcquisitionSettings:
    """The narrowest pass band and the coarsest step, for a reader must know the worst of them."""

    def stated(name: str) -> list[float]:
        values = (getattr(settings, name) for settings in all_settings)
        return [value for value in values if value is not None]

    return AcquisitionSettings(
        high_pass_hz=max(stated("high_pass_hz"), default=None),
        low_pass_hz=min(stated("low_pass_hz"), default=None),
        notch_hz=max(stated("notch_hz"), default=None),
        resolution_uv=max(stated("resolution_uv"), default=None),
    )


def read_settings(definition: DicomItem, channel: Channel) -> AcquisitionSettings:
    """Filters and resolution of one channel."""
    return AcquisitionSettings(
        high_pass_hz=definition.number("FilterLowFrequency"),
        low_pass_hz=definition.number("FilterHighFrequency"),
        notch_hz=definition.number("NotchFilterFrequency"),
        resolution_uv=None if channel.is_hinted else abs(channel.step_uv),
    )


def describe_channels(
    definitions: tuple[DicomItem, ...], read: list[Channel | None]
) -> tuple[str, ...]:
    """Remarks on channels that were left out, or of which the recorder states a fault."""
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
