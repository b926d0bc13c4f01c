"""The multiplex group of a DICOM waveform, built from a recording."""

from __future__ import annotations

from pydicom.dataset import Dataset

from couchside.formats.dicom_codes import LEAD_NUMBERS, MDC_LEAD_PREFIX, UNSPECIFIED_LEAD_NUMBER
from couchside.formats.dicom_text import build_code, check_text, format_decimal
from couchside.formats.quantising import MISSING, choose_step_uv, quantise
from couchside.recording import AcquisitionSettings, Recording


def build_group(recording: Recording) -> Dataset:
    """One original group with all leads, interleaved as signed 16-bit samples."""
    step_text = format_decimal(choose_step_uv(recording))
    step_uv = float(step_text)
    group = Dataset()
    group.WaveformOriginality = "ORIGINAL"
    group.NumberOfWaveformChannels = len(recording.leads)
    group.NumberOfWaveformSamples = recording.sample_count
    group.SamplingFrequency = format_decimal(recording.rate_hz)
    group.MultiplexGroupLabel = "RHYTHM"
    group.ChannelDefinitionSequence = [
        _build_channel(lead, step_text, recording.settings) for lead in recording.leads
    ]
    group.WaveformBitsAllocated = 16
    group.WaveformSampleInterpretation = "SS"
    group.WaveformPaddingValue = MISSING.to_bytes(2, "little", signed=True)
    group["WaveformPaddingValue"].VR = "OW"
    group.WaveformData = quantise(recording.microvolts, step_uv).T.astype("<i2").tobytes()
    group["WaveformData"].VR = "OW"
    return group


def _build_channel(lead: str, step_text: str, settings: AcquisitionSettings) -> Dataset:
    channel = Dataset()
    channel.ChannelLabel = check_text(lead, what="the lead name", longest=16)
    channel.ChannelSourceSequence = [_build_source(lead)]
    channel.ChannelSensitivity = step_text
    channel.ChannelSensitivityUnitsSequence = [build_code("UCUM", "uV", "microvolt")]
    channel.ChannelSensitivityCorrectionFactor = "1"
    channel.ChannelBaseline = "0"
    channel.ChannelSampleSkew = "0"
    channel.WaveformBitsStored = 16
    if settings.high_pass_hz is not None:
        channel.FilterLowFrequency = format_decimal(settings.high_pass_hz)
    if settings.low_pass_hz is not None:
        channel.FilterHighFrequency = format_decimal(settings.low_pass_hz)
    if settings.notch_hz is not None:
        channel.NotchFilterFrequency = format_decimal(settings.notch_hz)
    return channel


def _build_source(lead: str) -> Dataset:
    number = LEAD_NUMBERS.get(lead)
    if number is None:
        return build_code("MDC", f"{MDC_LEAD_PREFIX}{UNSPECIFIED_LEAD_NUMBER}", "Unspecified lead")
    return build_code("MDC", f"{MDC_LEAD_PREFIX}{number}", f"Lead {lead}")
