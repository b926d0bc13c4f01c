"""DICOM ECGs: what becomes of each attribute, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from datetime import date, datetime
from io import BytesIO

import numpy as np
import pytest
from pydicom import dcmread, dcmwrite
from pydicom.dataset import Dataset, FileDataset
from pydicom.uid import DeflatedExplicitVRLittleEndian, ExplicitVRBigEndian, ImplicitVRLittleEndian

from couchside.errors import CorruptFile, InvalidInput, UnsupportedFeature
from couchside.formats import (
    ArrivedFile,
    Parcel,
    ReadHints,
    read_dicom_groups,
    read_parcel,
    write_dicom,
)
from couchside.recording import Placement, Recording, Sex

Change = Callable[[FileDataset], None]


@pytest.fixture
def dataset(full_recording: Recording) -> FileDataset:
    return dcmread(BytesIO(write_dicom(full_recording)))


def encode(dataset: FileDataset) -> Parcel:
    """In the transfer syntax of its meta information, be it another than it was read in."""
    plain = Dataset()
    plain.update(dataset)
    plain.file_meta = dataset.file_meta
    buffer = BytesIO()
    dcmwrite(buffer, plain, enforce_file_format=True)
    return Parcel(files=(ArrivedFile(name="e.dcm", content=buffer.getvalue()),))


def channels(dataset: FileDataset) -> list[Dataset]:
    return list(dataset.WaveformSequence[0].ChannelDefinitionSequence)


def code(scheme: str, value: str, meaning: str = "x") -> Dataset:
    item = Dataset()
    item.CodeValue, item.CodingSchemeDesignator, item.CodeMeaning = value, scheme, meaning
    return item


def test_implicit_vr(dataset: FileDataset, full_recording: Recording) -> None:
    dataset.file_meta.TransferSyntaxUID = ImplicitVRLittleEndian
    recording = read_parcel(encode(dataset))
    np.testing.assert_array_equal(recording.microvolts, full_recording.microvolts)


def test_big_endian(dataset: FileDataset, full_recording: Recording) -> None:
    """The retired transfer syntax; samples are swapped by hand, for pydicom leaves OW alone."""
    group = dataset.WaveformSequence[0]
    for keyword in ("WaveformData", "WaveformPaddingValue"):
        group[keyword].value = np.frombuffer(group[keyword].value, "<i2").astype(">i2").tobytes()
    dataset.file_meta.TransferSyntaxUID = ExplicitVRBigEndian
    recording = read_parcel(encode(dataset))
    np.testing.assert_array_equal(recording.microvolts, full_recording.microvolts)


def test_deflated_is_refused_without_being_inflated(dataset: FileDataset) -> None:
    dataset.file_meta.TransferSyntaxUID = DeflatedExplicitVRLittleEndian
    with pytest.raises(UnsupportedFeature, match=r"^e\.dcm is a deflated DICOM file"):
        read_parcel(encode(dataset))


def test_older_lead_codes(dataset: FileDataset, full_recording: Recording) -> None:
    for channel in channels(dataset):
        source = channel.ChannelSourceSequence[0]
        source.CodingSchemeDesignator = "SCPECG"
        source.CodeValue = "5.6.3-9-" + source.CodeValue.removeprefix("2:")
        del channel.ChannelLabel
    assert read_parcel(encode(dataset)).leads == full_recording.leads


def test_inverted_avr_is_turned_round(dataset: FileDataset, full_recording: Recording) -> None:
    channels(dataset)[3].ChannelSourceSequence = [code("MDC", "2:65", "−aVR")]
    channels(dataset)[3].ChannelBaseline = "10"
    recording = read_parcel(encode(dataset))
    assert recording.leads == full_recording.leads
    np.testing.assert_array_equal(recording.get_lead("aVR"), -(full_recording.get_lead("aVR") + 10))


def test_a_lead_without_a_known_code_goes_by_its_label(dataset: FileDataset) -> None:
    channels(dataset)[0].ChannelSourceSequence = [code("99ACME", "L1", "Odd lead")]
    channels(dataset)[0].ChannelLabel = "Odd"
    channels(dataset)[1].ChannelSourceSequence = [code("99ACME", "L2", "Lead II")]
    del channels(dataset)[1].ChannelLabel
    assert read_parcel(encode(dataset)).leads[:2] == ("Odd", "II")


def test_no_lead_source(dataset: FileDataset) -> None:
    del channels(dataset)[4].ChannelSourceSequence
    with pytest.raises(CorruptFile, match=r"^e\.dcm does not say which lead channel 5 is"):
        read_parcel(encode(dataset))


@pytest.mark.parametrize(("unit", "microvolts"), [("uV", 1), ("mV", 1000), ("V", 1e6)])
def test_units_correction_and_baseline(
    dataset: FileDataset, full_recording: Recording, unit: str, microvolts: float
) -> None:
    for channel in channels(dataset):
        channel.ChannelSensitivityUnitsSequence = [code("UCUM", unit)]
        channel.ChannelSensitivityCorrectionFactor = "1.5"
        channel.ChannelBaseline = "-7"
    recording = read_parcel(encode(dataset))
    np.testing.assert_allclose(
        recording.microvolts, (full_recording.microvolts * 1.5 - 7) * microvolts
    )
    assert recording.settings.resolution_uv == 1.5 * microvolts


def test_another_quantity_is_left_out(dataset: FileDataset) -> None:
    channels(dataset)[0].ChannelSensitivityUnitsSequence = [code("UCUM", "mm[Hg]")]
    recording = read_parcel(encode(dataset))
    assert "I" not in recording.leads
    assert "I (mm[Hg]) is no voltage and was left out." in recording.remarks


def test_only_other_quantities(dataset: FileDataset) -> None:
    for channel in channels(dataset):
        channel.ChannelSensitivityUnitsSequence = [code("UCUM", "mm[Hg]")]
    with pytest.raises(CorruptFile, match="no channel in a unit of voltage"):
        read_parcel(encode(dataset))


def test_without_sensitivity_the_option_is_named(
    dataset: FileDataset, full_recording: Recording
) -> None:
    for channel in channels(dataset):
        del channel.ChannelSensitivity
        del channel.ChannelSensitivityUnitsSequence
    with pytest.raises(
        InvalidInput, match=r"^e\.dcm states no sensitivity in a unit .* lead I, .*--unit"
    ):
        read_parcel(encode(dataset))
    recording = read_parcel(encode(dataset), ReadHints(microvolts_per_unit=2.0))
    np.testing.assert_array_equal(recording.microvolts, full_recording.microvolts * 2)
    assert recording.settings.resolution_uv is None


@pytest.mark.parametrize(
    ("bits", "kind", "dtype"),
    [
        (8, "SB", "i1"),
        (8, "UB", "u1"),
        (16, "US", "<u2"),
        (32, "SL", "<i4"),
        (32, "UL", "<u4"),
    ],
)
def test_other_widths(dataset: FileDataset, bits: int, kind: str, dtype: str) -> None:
    samples = np.arange(120).reshape(12, 10)
    group = dataset.WaveformSequence[0]
    group.WaveformBitsAllocated, group.WaveformSampleInterpretation = bits, kind
    group.NumberOfWaveformSamples = 10
    group.WaveformData = samples.T.astype(dtype).tobytes()
    group.WaveformPaddingValue = np.array([7], dtype).tobytes() + b"\x00" * (bits == 8)
    recording = read_parcel(encode(dataset))
    np.testing.assert_array_equal(recording.microvolts, np.where(samples == 7, np.nan, samples))


def test_a_width_that_is_not_read(dataset: FileDataset) -> None:
    group = dataset.WaveformSequence[0]
    group.WaveformBitsAllocated, group.WaveformSampleInterpretation = 8, "MB"
    with pytest.raises(UnsupportedFeature, match="8 bits MB, and SB, UB, SS"):
        read_parcel(encode(dataset))


def test_all_groups_can_be_read(dataset: FileDataset, full_recording: Recording) -> None:
    add_group(dataset, label="MEDIAN BEAT", originality="DERIVED", sample_count=600)
    rhythm, beat = read_dicom_groups(encode(dataset))
    assert (rhythm.label, beat.label) == ("RHYTHM", "MEDIAN BEAT")
    assert (rhythm.is_original, beat.is_original) == (True, False)
    assert beat.microvolts.shape == (12, 600)
    recording = read_parcel(encode(dataset))
    np.testing.assert_array_equal(recording.microvolts, full_recording.microvolts)
    assert recording.remarks[-1] == "The file also holds MEDIAN BEAT: 12 leads, 1.2 s."


def test_the_rhythm_need_not_come_first(dataset: FileDataset) -> None:
    add_group(dataset, label="MEDIAN BEAT", originality="DERIVED", sample_count=600)
    dataset.WaveformSequence = list(reversed(dataset.WaveformSequence))
    assert read_parcel(encode(dataset)).sample_count == 1000


def test_the_longest_of_equal_groups_is_the_recording(dataset: FileDataset) -> None:
    add_group(dataset, label="SHORT", originality="ORIGINAL", sample_count=500)
    recording = read_parcel(encode(dataset))
    assert recording.sample_count == 1000
    assert recording.remarks[-1] == "The file also holds SHORT: 12 leads, 1 s."


def test_groups_of_the_same_seconds_are_joined(
    dataset: FileDataset, full_recording: Recording
) -> None:
    """Limb leads in one group, chest leads in another."""
    whole = dataset.WaveformSequence[0]
    samples = np.frombuffer(whole.WaveformData, "<i2").reshape(1000, 12)
    dataset.WaveformSequence = [
        take_channels(whole, samples, slice(0, 6)),
        take_channels(whole, samples, slice(6, 12)),
    ]
    recording = read_parcel(encode(dataset))
    assert recording.leads == full_recording.leads
    np.testing.assert_array_equal(recording.microvolts, full_recording.microvolts)
    assert recording.settings == full_recording.settings


def test_the_recording_starts_when_its_group_does(
    dataset: FileDataset, full_recording: Recording
) -> None:
    dataset.WaveformSequence[0].MultiplexGroupTimeOffset = "1500"
    start = read_parcel(encode(dataset)).start
    assert start is not None
    assert full_recording.start is not None
    assert (start - full_recording.start).total_seconds() == 1.5


def test_an_offset_cannot_lead_out_of_the_calendar(dataset: FileDataset) -> None:
    dataset.AcquisitionDateTime = "00010101000000"
    dataset.WaveformSequence[0].MultiplexGroupTimeOffset = "-1500"
    recording = read_parcel(encode(dataset))
    assert recording.start is None
    assert recording.remarks[0] == "Start as the file states it: 0001-01-01T00:00:00+05:30"


def test_the_worst_filter_counts(dataset: FileDataset) -> None:
    channels(dataset)[2].FilterLowFrequency = "0.5"
    channels(dataset)[5].FilterHighFrequency = "40"
    del channels(dataset)[7].FilterHighFrequency
    settings = read_parcel(encode(dataset)).settings
    assert (settings.high_pass_hz, settings.low_pass_hz, settings.notch_hz) == (0.5, 40, 50)


def test_a_channel_that_the_recorder_doubts(dataset: FileDataset) -> None:
    channels(dataset)[8].ChannelStatus = "DISCONNECTED"
    assert "Lead V3: the recorder states DISCONNECTED." in read_parcel(encode(dataset)).remarks


@pytest.mark.parametrize(
    ("charset", "name", "family", "given"),
    [
        ("ISO_IR 192", "Vörösmarty^Ōe", "Vörösmarty", "Ōe"),
        ("ISO_IR 100", "Müller^Änne^Maria", "Müller", "Änne Maria"),
        ("ISO_IR 144", "Люкceмбypг", "Люкceмбypг", ""),
        (["", "ISO 2022 IR 87"], "Yamada^Tarou=山田^太郎=やまだ^たろう", "Yamada", "Tarou"),
        (["", "ISO 2022 IR 87"], "=山田^太郎", "山田", "太郎"),
        ("GB18030", "Wang^XiaoDong=王^小东", "Wang", "XiaoDong"),
        ("ISO_IR 192", "", "", ""),
    ],
)
def test_names_in_many_scripts(
    dataset: FileDataset, charset: str | list[str], name: str, family: str, given: str
) -> None:
    """The examples are those of DICOM PS3.5 Annexes H and J."""
    del dataset.WaveformAnnotationSequence
    dataset.SpecificCharacterSet = charset
    dataset.PatientName = name
    patient = read_parcel(encode(dataset)).patient
    assert (patient.family_name, patient.given_name) == (family, given)


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("042Y", 42),
        ("018M", 1.5),
        ("010W", pytest.approx(10 * 7 / 365.2425)),
        ("003D", 3 / 365.2425),
        ("", None),
    ],
)
def test_ages(dataset: FileDataset, text: str, years: float | None) -> None:
    dataset.PatientAge = text
    assert read_parcel(encode(dataset)).patient.stated_age_years == years


def test_what_is_not_stated_stays_so(dataset: FileDataset) -> None:
    for keyword in (
        "PatientName",
        "PatientID",
        "PatientBirthDate",
        "PatientSex",
        "PatientAge",
        "AccessionNumber",
        "RequestAttributesSequence",
        "AcquisitionContextSequence",
        "Manufacturer",
    ):
        delattr(dataset, keyword)
    recording = read_parcel(encode(dataset))
    assert recording.patient.full_name == recording.patient.identifier == ""
    assert recording.patient.birth_date is None
    assert recording.patient.stated_age_years is None
    assert recording.patient.sex is Sex.NOT_STATED
    assert recording.placement is Placement.NOT_STATED
    assert recording.order.accession_number == recording.order.requested_procedure_id == ""


def test_an_old_style_birth_date(dataset: FileDataset) -> None:
    dataset["PatientBirthDate"]._value = "1961.02.03"
    assert read_parcel(encode(dataset)).patient.birth_date == date(1961, 2, 3)


@pytest.mark.parametrize(
    ("moment", "zone", "start"),
    [
        ("20310506070809.25+0200", "", "2031-05-06T07:08:09.25+02:00"),
        ("20310506070809", "-0330", "2031-05-06T07:08:09-03:30"),
        ("20310506070809+0000", "+0100", "2031-05-06T07:08:09+00:00"),
        ("20310506070809", "", "2031-05-06T07:08:09"),
        ("203105060708", "", "2031-05-06T07:08:00"),
        ("20310506", "", "2030-01-02T03:04:05"),
        ("", "", "2030-01-02T03:04:05"),
    ],
)
def test_start(dataset: FileDataset, moment: str, zone: str, start: str) -> None:
    """A moment without a time is passed over for the content's date and time."""
    dataset.AcquisitionDateTime, dataset.TimezoneOffsetFromUTC = moment, zone
    dataset.ContentDate, dataset.ContentTime = "20300102", "030405"
    assert read_parcel(encode(dataset)).start == datetime.fromisoformat(start)


def test_no_start_at_all(dataset: FileDataset) -> None:
    for keyword in ("AcquisitionDateTime", "ContentTime", "StudyTime"):
        delattr(dataset, keyword)
    assert read_parcel(encode(dataset)).start is None


@pytest.mark.parametrize(
    ("scheme", "value", "placement"),
    [
        ("MDC", "10:11265", Placement.STANDARD),
        ("MDC", "10:11266", Placement.TORSO),
        ("MDC", "10:11272", Placement.HIGH),
        ("MDC", "10:11291", Placement.RIGHT_SIDED),
        ("MDC", "10:11292", Placement.POSTERIOR),
        ("SCPECG", "5.4.5-33-1-1", Placement.STANDARD),
        ("MDC", "10:11264", Placement.NOT_STATED),
    ],
)
def test_placements(dataset: FileDataset, scheme: str, value: str, placement: Placement) -> None:
    dataset.AcquisitionContextSequence[0].ConceptCodeSequence = [code(scheme, value)]
    assert read_parcel(encode(dataset)).placement is placement


def set_zero_channels(dataset: FileDataset) -> None:
    dataset.WaveformSequence[0].NumberOfWaveformChannels = 0


def set_no_groups(dataset: FileDataset) -> None:
    dataset.WaveformSequence = []


def set_no_kind(dataset: FileDataset) -> None:
    dataset.SOPClassUID = ""


def set_odd_rate(dataset: FileDataset) -> None:
    dataset.WaveformSequence[0]["SamplingFrequency"]._value = "fast"


def set_infinite_sensitivity(dataset: FileDataset) -> None:
    channels(dataset)[0].ChannelSensitivity = "1e300"


def set_huge_baseline(dataset: FileDataset) -> None:
    channels(dataset)[0].ChannelBaseline = "1e300"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (set_zero_channels, r"0 leads \(and describes 12\)"),
        (set_no_groups, "without any samples"),
        (set_no_kind, "does not say what it holds"),
        (set_odd_rate, "'fast' as its DICOM attribute SamplingFrequency|damaged"),
        (set_infinite_sensitivity, r"1e\+300 for lead I as its DICOM attribute ChannelSens"),
        (set_huge_baseline, r"1e\+300 for lead I as its DICOM attribute ChannelBaseline"),
    ],
)
def test_what_cannot_be(dataset: FileDataset, change: Change, told: str) -> None:
    change(dataset)
    parcel = encode(dataset)
    with pytest.raises(CorruptFile, match=rf"^e\.dcm .*({told})"):
        read_parcel(parcel)


def add_group(dataset: FileDataset, *, label: str, originality: str, sample_count: int) -> None:
    group = deepcopy(dataset.WaveformSequence[0])
    group.MultiplexGroupLabel, group.WaveformOriginality = label, originality
    group.NumberOfWaveformSamples = sample_count
    group.WaveformData = dataset.WaveformSequence[0].WaveformData[: sample_count * 24]
    dataset.WaveformSequence.append(group)


def take_channels(whole: Dataset, samples: np.ndarray, which: slice) -> Dataset:
    group = deepcopy(whole)
    group.ChannelDefinitionSequence = list(whole.ChannelDefinitionSequence)[which]
    group.NumberOfWaveformChannels = len(group.ChannelDefinitionSequence)
    group.WaveformData = np.ascontiguousarray(samples[:, which]).tobytes()
    return group
