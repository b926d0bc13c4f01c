"""What every reader must stand, whatever its format.

The parcels are built here byte by byte or with pydicom, not with Couchside's own writers, so that
a reader and a writer cannot agree on a mistake.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
from pydicom.uid import CTImageStorage, ExplicitVRLittleEndian, TwelveLeadECGWaveformStorage

from couchside.errors import (
    CorruptFile,
    CouchsideError,
    FormatError,
    InvalidInput,
    UnknownFormat,
    UnsupportedFeature,
)
from couchside.formats import FORMATS, ArrivedFile, Parcel, read, read_parcel
from couchside.recording import STANDARD_LEADS, Recording

MISSING = -32_768
CODES: dict[str, int] = dict(
    zip(STANDARD_LEADS, (1, 2, 61, 62, 63, 64, 3, 4, 5, 6, 7, 8), strict=True)
)
"""n of each lead in MDC 2:n, typed off CID 3001."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Raw:
    """An ECG before it is put into a format: whole steps of `step_uv` microvolts."""

    leads: tuple[str, ...] = STANDARD_LEADS
    steps: NDArray[np.int16]
    rate_hz: int = 500
    step_uv: float = 2.5
    promised: int | None = None

    @property
    def sample_count(self) -> int:
        return self.promised or self.steps.shape[1]


def make_wfdb(raw: Raw) -> Parcel:
    lines = [f"rec {len(raw.leads)} {raw.rate_hz} {raw.sample_count}"]
    gain = 1000 / raw.step_uv if raw.step_uv else 0
    for lead, row in zip(raw.leads, raw.steps, strict=True):
        checksum = int(row.astype(np.int64).sum()) & 0xFFFF
        lines.append(f"rec.dat 16 {gain:g}(0)/mV 16 0 {row[0]} {checksum} 0 {lead}")
    header = "\n".join(lines).encode() + b"\n"
    return pack(("rec.hea", header), ("rec.dat", raw.steps.T.astype("<i2").tobytes()))


def make_csv(raw: Raw) -> Parcel:
    lines = [f"# rate_hz: {raw.rate_hz}", "# unit: uV", ",".join(raw.leads)]
    for row in raw.steps.T:
        cells = ["" if step == MISSING else f"{step * raw.step_uv:.2f}" for step in row]
        lines.append(",".join(cells))
    return pack(("table.csv", ("\n".join(lines) + "\n").encode()))


def make_dicom(raw: Raw) -> Parcel:
    dataset = Dataset()
    dataset.SOPClassUID = TwelveLeadECGWaveformStorage
    dataset.SOPInstanceUID = "2.25.1"
    group = Dataset()
    group.WaveformOriginality = "ORIGINAL"
    group.NumberOfWaveformChannels = len(raw.leads)
    group.NumberOfWaveformSamples = raw.sample_count
    group.SamplingFrequency = str(raw.rate_hz)
    group.ChannelDefinitionSequence = [make_channel(lead, raw.step_uv) for lead in raw.leads]
    group.WaveformBitsAllocated = 16
    group.WaveformSampleInterpretation = "SS"
    group.add_new("WaveformPaddingValue", "OW", MISSING.to_bytes(2, "little", signed=True))
    group.add_new("WaveformData", "OW", raw.steps.T.astype("<i2").tobytes())
    dataset.WaveformSequence = [group]
    return pack(("ecg.dcm", encode(dataset)))


def make_channel(lead: str, step_uv: float) -> Dataset:
    channel, source, unit = Dataset(), Dataset(), Dataset()
    source.CodeValue = f"2:{CODES.get(lead, 0)}"
    source.CodingSchemeDesignator = "MDC"
    source.CodeMeaning = lead
    unit.CodeValue = "uV"
    unit.CodingSchemeDesignator = "UCUM"
    unit.CodeMeaning = "microvolt"
    channel.ChannelLabel = lead
    channel.ChannelSourceSequence = [source]
    channel.ChannelSensitivity = str(step_uv)
    channel.ChannelSensitivityUnitsSequence = [unit]
    return channel


def encode(dataset: Dataset) -> bytes:
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = dataset.SOPClassUID
    meta.MediaStorageSOPInstanceUID = dataset.SOPInstanceUID
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    buffer = BytesIO()
    whole = FileDataset(buffer, dataset, file_meta=meta, preamble=b"\x00" * 128)
    whole.save_as(buffer, enforce_file_format=True)
    return buffer.getvalue()


def pack(*files: tuple[str, bytes]) -> Parcel:
    return Parcel(files=tuple(ArrivedFile(name=name, content=content) for name, content in files))


Maker = Callable[[Raw], Parcel]
MAKERS: dict[str, Maker] = {"wfdb": make_wfdb, "csv": make_csv, "dicom": make_dicom}
WITH_A_GAIN = ("wfdb", "dicom")
WITH_A_PROMISE = ("wfdb", "dicom")


def test_every_reader_takes_part() -> None:
    assert set(MAKERS) == {form.name for form in FORMATS}


@pytest.fixture(params=sorted(MAKERS))
def make(request: pytest.FixtureRequest) -> Maker:
    return MAKERS[request.param]


@pytest.fixture
def raw(twelve_leads: NDArray[np.float64]) -> Raw:
    return Raw(steps=np.rint(twelve_leads / 2.5).astype(np.int16))


def test_reads_the_right_leads_and_plausible_millivolts(make: Maker, raw: Raw) -> None:
    recording = read_parcel(make(raw))
    assert recording.leads == STANDARD_LEADS
    assert recording.rate_hz == 500
    assert recording.duration_s == 2
    assert 0.5 < recording.get_lead("II").max() / 1000 < 2
    np.testing.assert_array_equal(recording.microvolts, raw.steps * 2.5)


def test_says_where_it_came_from(make: Maker, raw: Raw) -> None:
    parcel = make(raw)
    origin = read_parcel(parcel).origin
    assert origin is not None
    assert (origin.sha256, origin.byte_count) == (parcel.sha256, parcel.byte_count)
    assert MAKERS[origin.format_name] is make


def test_truncation_gives_a_sentence_or_the_samples_before_it(make: Maker, raw: Raw) -> None:
    parcel = make(raw)
    whole = read_parcel(parcel)
    for file in parcel.files:
        for cut in interesting_cuts(len(file.content)):
            short = replace_file(parcel, replace(file, content=file.content[:cut]))
            recording = read_or_sentence(short)
            if recording is not None:
                assert_begins_like(recording, whole)


def interesting_cuts(length: int) -> Iterator[int]:
    """All through the head, then some of the middle, then the last bytes one by one."""
    yield from range(0, min(length, 1500), 3)
    yield from range(1500, length, max(1, length // 40))
    yield from range(max(0, length - 40), length)


def assert_begins_like(recording: Recording, whole: Recording) -> None:
    """A text that is cut may lose the end of its last name or its last number, and no more."""
    assert recording.leads[:-1] == whole.leads[:-1]
    assert whole.leads[-1].startswith(recording.leads[-1])
    count = recording.sample_count - 1
    assert count <= whole.sample_count
    np.testing.assert_array_equal(recording.microvolts[:, :count], whole.microvolts[:, :count])


def test_trailing_rubbish_changes_nothing_or_gives_a_sentence(make: Maker, raw: Raw) -> None:
    parcel = make(raw)
    whole = read_parcel(parcel)
    for file in parcel.files:
        for rubbish in (b"\x00", b"\x00" * 999, b"\xff" * 64, b"rubbish\n", file.content):
            longer = replace_file(parcel, replace(file, content=file.content + rubbish))
            recording = read_or_sentence(longer)
            if recording is not None:
                count = whole.sample_count
                np.testing.assert_array_equal(recording.microvolts[:, :count], whole.microvolts)


def test_an_empty_file_is_named_so(make: Maker, raw: Raw) -> None:
    main = make(raw).main
    with pytest.raises(UnknownFormat, match=f"^{main.name} is empty"):
        read_parcel(Parcel(files=(replace(main, content=b""),)))


@settings(max_examples=300, deadline=None)
@given(content=st.binary(max_size=2000))
@example(content=b"\x00" * 132)
@example(content=b"\x00" * 128 + b"DICM")
@example(content=b"rec 12 500 5000")
@example(content=b"I,II\n")
@example(content=b"PK\x03\x04")
@example(content=b"PK\x05\x06" + b"\x00" * 18)
def test_random_bytes_give_a_sentence(content: bytes) -> None:
    with pytest.raises(CouchsideError):
        read_parcel(pack(("noise.bin", content)))


@pytest.mark.timeout(20)
@pytest.mark.parametrize(
    "content",
    [
        *(sign * 300_000 for sign in (b"_", b" ", b"1", b".", b"(", b"#", b"<", b",", b'"', b"\t")),
        *(sign * 100_000 for sign in (b"a ", b"1 ", b"_ ", b"\n", b"I,", b"1,", b"<a", b"I\n")),
        b"a 1 " + b"1" * 300_000,
        b"a 1 500 5 " + b" " * 300_000,
        b"a 1\n" + b"x 16 " + b"9" * 300_000,
        b"a 1\nx 16 " + b"0" * 300_000 + b"(",
        b"# " + b"age" * 100_000 + b"\na 1\nx 16\n",
    ],
    ids=lambda content: repr(content[:12]),
)
def test_no_line_takes_long(content: bytes) -> None:
    """Patterns that try again for each sign would take minutes here."""
    with pytest.raises(CouchsideError):
        read_parcel(pack(("long.txt", content)))


@settings(max_examples=150, deadline=None)
@given(data=st.data(), name=st.sampled_from(sorted(MAKERS)))
def test_damaged_bytes_give_a_sentence_or_a_recording(data: st.DataObject, name: str) -> None:
    steps = np.arange(24, dtype=np.int16).reshape(12, 2)
    parcel = MAKERS[name](Raw(steps=steps))
    content = bytearray(parcel.main.content)
    for _ in range(data.draw(st.integers(1, 5))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    read_or_sentence(replace_file(parcel, replace(parcel.main, content=bytes(content))))


@pytest.mark.parametrize("name", WITH_A_GAIN)
def test_a_zero_gain_gives_a_sentence(name: str, raw: Raw) -> None:
    parcel = MAKERS[name](replace(raw, step_uv=0.0))
    with pytest.raises((InvalidInput, CorruptFile), match=rf"^{parcel.main.name} .* 0 "):
        read_parcel(parcel)


@pytest.mark.parametrize("name", WITH_A_PROMISE)
def test_a_promise_of_more_samples_than_there_are(name: str, raw: Raw) -> None:
    parcel = MAKERS[name](replace(raw, promised=1001))
    with pytest.raises(CorruptFile, match=r"24024 bytes.* 24000"):
        read_parcel(parcel)


def test_missing_samples_are_nan(make: Maker, raw: Raw) -> None:
    raw.steps[3, 100:200] = MISSING
    recording = read_parcel(make(raw))
    missing = np.isnan(recording.microvolts)
    assert missing[3, 100:200].all()
    assert missing.sum() == 100


def test_nothing_but_missing_samples(make: Maker) -> None:
    parcel = make(Raw(steps=np.full((12, 50), MISSING, dtype=np.int16)))
    with pytest.raises(CorruptFile, match=f"^{parcel.main.name} marks every sample"):
        read_parcel(parcel)


def test_twenty_leads_are_too_many(make: Maker) -> None:
    names = tuple(f"E{number}" for number in range(20))
    steps = np.ones((20, 50), dtype=np.int16)
    parcel = make(Raw(leads=("I", *names[1:]), steps=steps))
    with pytest.raises(UnsupportedFeature, match="20 leads, and 1 to 18"):
        read_parcel(parcel)


def test_one_lead_is_read(make: Maker, raw: Raw) -> None:
    recording = read_parcel(make(replace(raw, leads=("II",), steps=raw.steps[1:2])))
    assert recording.leads == ("II",)
    np.testing.assert_array_equal(recording.get_lead("II"), raw.steps[1] * 2.5)


def test_a_lead_that_stands_twice(make: Maker, raw: Raw) -> None:
    with pytest.raises(CorruptFile, match="V1 more than once"):
        read_parcel(make(replace(raw, leads=("V1", "V1"), steps=raw.steps[:2])))


def test_the_extension_does_not_matter(make: Maker, raw: Raw) -> None:
    parcel = make(raw)
    for extension in (".csv", ".dcm", ".hea", ".pdf", ""):
        renamed = replace(parcel.main, name=f"anything{extension}")
        recording = read_parcel(Parcel(files=(renamed, *parcel.files[1:])))
        assert recording.leads == STANDARD_LEADS


def test_100_hz_is_read(make: Maker, raw: Raw) -> None:
    assert read_parcel(make(replace(raw, rate_hz=100))).rate_hz == 100


@pytest.mark.parametrize("rate_hz", [0, 100_000])
def test_a_rate_that_cannot_be(make: Maker, raw: Raw, rate_hz: int) -> None:
    with pytest.raises(FormatError, match=rf"{rate_hz:g} Hz"):
        read_parcel(make(replace(raw, rate_hz=rate_hz)))


def test_absurd_amplitudes_are_read(make: Maker, raw: Raw) -> None:
    raw.steps[5, 7] = 32_767
    recording = read_parcel(make(replace(raw, step_uv=10_000.0)))
    assert recording.microvolts[5, 7] == 32_767 * 10_000.0


def test_too_long_is_refused_from_the_header_alone(make: Maker) -> None:
    """At 1 Hz an hour and one second: 3601 samples."""
    steps = np.zeros((1, 3601), dtype=np.int16)
    parcel = make(Raw(leads=("II",), steps=steps, rate_hz=1))
    with pytest.raises(UnsupportedFeature, match=r"60\.02 min long, and .* one hour"):
        read_parcel(parcel)


def test_read_from_disk(make: Maker, raw: Raw, tmp_path: Path) -> None:
    parcel = make(raw)
    for file in parcel.files:
        (tmp_path / file.name).write_bytes(file.content)
    recording = read(tmp_path / parcel.main.name)
    np.testing.assert_array_equal(recording.microvolts, raw.steps * 2.5)


def test_another_kind_of_dicom_is_named() -> None:
    dataset = Dataset()
    dataset.SOPClassUID = CTImageStorage
    dataset.SOPInstanceUID = "2.25.1"
    dataset.PatientID = "W-1"
    with pytest.raises(UnsupportedFeature, match=r"^slice\.dcm is .* CT Image Storage, not an ECG"):
        read_parcel(pack(("slice.dcm", encode(dataset))))


def read_or_sentence(parcel: Parcel) -> Recording | None:
    try:
        return read_parcel(parcel)
    except CouchsideError as error:
        sentence = str(error)
        assert "\n" not in sentence
        assert len(sentence) < 400
        return None


def replace_file(parcel: Parcel, changed: ArrivedFile) -> Parcel:
    return Parcel(
        files=tuple(changed if file.name == changed.name else file for file in parcel.files)
    )
