"""DICOM PS3.3 C.10.9, the Waveform Module: from stored numbers to voltages.

C.10.9.1.4.2: the stored number times Channel Sensitivity, times its correction factor, is in the
unit of Channel Sensitivity Units; Channel Baseline is the offset in that unit. Samples of all
channels stand side by side for each moment; the padding value marks what was not acquired.
"""

from __future__ import annotations

import numpy as np
from pydicom.dataset import Dataset

from couchside.formats.dicom_item import DicomItem
from couchside.formats.dicom_waveform import decode_groups
from couchside.formats.hints import NO_HINTS


def build_channel(number: int, sensitivity: str, correction: str, baseline: str) -> Dataset:
    channel, source, unit = Dataset(), Dataset(), Dataset()
    source.CodeValue, source.CodingSchemeDesignator = f"2:{number}", "MDC"
    unit.CodeValue, unit.CodingSchemeDesignator = "mV", "UCUM"
    channel.ChannelSourceSequence, channel.ChannelSensitivityUnitsSequence = [source], [unit]
    channel.ChannelSensitivity = sensitivity
    channel.ChannelSensitivityCorrectionFactor = correction
    channel.ChannelBaseline = baseline
    return channel


def test_two_channels_worked_out_by_hand() -> None:
    """I: 3 × 0.005 mV × 2 + 0.1 mV = 0.13 mV. II: −7 × 0.01 mV × 1 − 0.2 mV = −0.27 mV."""
    group, root = Dataset(), Dataset()
    group.WaveformOriginality = "ORIGINAL"
    group.NumberOfWaveformChannels = 2
    group.NumberOfWaveformSamples = 2
    group.SamplingFrequency = "500"
    group.ChannelDefinitionSequence = [
        build_channel(1, "0.005", "2", "0.1"),
        build_channel(2, "0.01", "1", "-0.2"),
    ]
    group.WaveformBitsAllocated = 16
    group.WaveformSampleInterpretation = "SS"
    group.WaveformPaddingValue = b"\x00\x80"
    group.WaveformData = b"\x03\x00\xf9\xff" + b"\x00\x80\x00\x00"
    root.WaveformSequence = [group]

    (decoded,) = decode_groups(DicomItem(file_name="x", dataset=root), NO_HINTS)

    assert decoded.leads == ("I", "II")
    np.testing.assert_allclose(decoded.microvolts, np.array([[130, np.nan], [-270, -200]]))
