"""What is too large is refused from its promise, before anything is allocated."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from pydicom import dcmread

from couchside.errors import CorruptFile, UnsupportedFeature
from couchside.formats import ArrivedFile, Parcel, csv_read, limits, read_parcel, write_dicom
from couchside.formats.limits import check_extent, describe_duration
from couchside.recording import Recording


def parcel_of(name: str, content: bytes) -> Parcel:
    return Parcel(files=(ArrivedFile(name=name, content=content),))


def test_an_hour_of_eighteen_leads_at_370_hz_is_the_most() -> None:
    check_extent("x", lead_count=18, sample_count=370 * 3600, rate_hz=370.0)
    with pytest.raises(UnsupportedFeature, match=r"holds 24040800 samples .* up to 24000000"):
        check_extent("x", lead_count=18, sample_count=371 * 3600, rate_hz=371.0)


@pytest.mark.parametrize(("lead_count", "sample_count"), [(0, 5), (5, 0)])
def test_nothing_at_all(lead_count: int, sample_count: int) -> None:
    with pytest.raises(CorruptFile, match=r"^x holds no samples"):
        check_extent("x", lead_count=lead_count, sample_count=sample_count, rate_hz=500.0)


@pytest.mark.parametrize("rate_hz", [0.0, -1.0, float("nan"), float("inf"), 0.5, 70_000.0])
def test_rates_that_cannot_be(rate_hz: float) -> None:
    with pytest.raises(CorruptFile, match="1 to 64000 Hz can be"):
        check_extent("x", lead_count=1, sample_count=1, rate_hz=rate_hz)


@pytest.mark.parametrize(
    ("seconds", "words"), [(86_400, "24 h"), (5400, "90 min"), (10, "10 s"), (0.5, "0.5 s")]
)
def test_durations_in_words(seconds: float, words: str) -> None:
    assert describe_duration(seconds) == words


def test_signals_that_are_left_out_count_too() -> None:
    """Thirty channels of pressure for half an hour would be unpacked before they are dropped."""
    lines = "".join(f"r.dat 16 1/mmHg 16 0 0 0 0 P{number}\n" for number in range(30))
    header = f"r 31 500 900000\n{lines}r.dat 16 1000/mV 16 0 0 0 0 II\n"
    with pytest.raises(UnsupportedFeature, match="27900000 samples in all its signals"):
        read_parcel(parcel_of("r.hea", header.encode()))


def test_segments_count_together() -> None:
    segments = "".join(f"s{number} 1000000\n" for number in range(30))
    with pytest.raises(UnsupportedFeature, match=r"16\.67 h long"):
        read_parcel(parcel_of("r.hea", f"r/30 2 500 10\n{segments}".encode()))


def test_all_groups_of_a_dicom_file_count_together(
    full_recording: Recording, monkeypatch: pytest.MonkeyPatch
) -> None:
    dataset = dcmread(BytesIO(write_dicom(full_recording)))
    dataset.WaveformSequence = list(dataset.WaveformSequence) * 3
    buffer = BytesIO()
    dataset.save_as(buffer)
    monkeypatch.setattr(limits, "MAX_SAMPLES", 30_000)
    with pytest.raises(UnsupportedFeature, match="holds 36000 samples"):
        read_parcel(parcel_of("g.dcm", buffer.getvalue()))


def test_a_table_with_too_many_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_read, "MAX_ROWS", 10)
    with pytest.raises(UnsupportedFeature, match=r"^t\.csv has 12 lines, and tables of up to 10"):
        read_parcel(parcel_of("t.csv", b"I_uV\n" + b"1\n" * 11))


def test_a_parcel_that_is_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MAX_FILE_BYTES", 1_000_000)
    with pytest.raises(UnsupportedFeature, match="has 2 MB, and files of up to 1 MB"):
        read_parcel(parcel_of("t.csv", b"I_uV\n" + b"1\n" * 1_000_000))


def test_a_day_of_silence_is_refused_at_once() -> None:
    """A day-long table: 43.2 million lines of it are never split."""
    content = b"# rate_hz: 500\nI_uV\n" + np.full(2 * 4_100_000, ord("\n"), np.uint8).tobytes()
    with pytest.raises(UnsupportedFeature, match="lines, and tables of up to 4000000"):
        read_parcel(parcel_of("t.csv", content))


@pytest.mark.parametrize("start", ["0001-01-01T00:00:00", "9999-12-31T23:59:59-12:00"])
def test_a_start_at_an_end_of_the_calendar_becomes_a_remark(
    make_csv: Callable[..., bytes], start: str
) -> None:
    file = ArrivedFile(name="x.csv", content=make_csv(start=start))
    recording = read_parcel(Parcel(files=(file,)))
    assert recording.start is None
    assert recording.remarks[0] == f"Start as the file states it: {start}"
