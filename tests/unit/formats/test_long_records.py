"""Recordings of any length, read stretch by stretch, are the same as read whole."""

from __future__ import annotations

import errno
import math
import os
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from couchside.errors import CorruptFile, CouchsideError, InvalidInput, UnsupportedFeature
from couchside.formats import (
    iterate_spans,
    open_long_record,
    read,
    read_span,
    write_csv,
    write_wfdb,
)
from couchside.recording import Recording
from couchside.waves.long import OVERLAP_S, SPAN_S

RATE_HZ = 100.0


@pytest.fixture
def recording() -> Recording:
    samples = np.random.default_rng(3).integers(-900, 900, (3, 3001)).astype(np.float64)
    samples[1, 500:510] = np.nan
    return Recording(leads=("II", "V1", "V5"), microvolts=samples, rate_hz=RATE_HZ)


def _write(recording: Recording, folder: Path, name: str = "long") -> Path:
    for file in write_wfdb(recording, name).files:
        (folder / file.name).write_bytes(file.content)
    return folder / f"{name}.hea"


@pytest.mark.parametrize("start_s", [0.0, 0.01, 4.97, 29.0])
def test_stretch_holds_what_the_whole_holds_there(
    start_s: float, recording: Recording, tmp_path: Path
) -> None:
    path = _write(recording, tmp_path)

    span = read_span(open_long_record(path), start_s, 3.0)

    first = round(span.start_s * RATE_HZ)
    assert abs(span.start_s - start_s) <= 1 / RATE_HZ
    expected = read(path).microvolts[:, first : first + span.recording.sample_count]
    np.testing.assert_array_equal(span.recording.microvolts, expected)


def test_packed_pairs_of_twelve_bits_are_cut_between_pairs(tmp_path: Path) -> None:
    stored = np.random.default_rng(4).integers(-2000, 2000, (1000, 3))
    low, high = stored.reshape(-1)[0::2] & 0xFFF, stored.reshape(-1)[1::2] & 0xFFF
    triples = np.column_stack([low & 0xFF, (low >> 8) | ((high >> 8) << 4), high & 0xFF])
    (tmp_path / "p.dat").write_bytes(triples.astype(np.uint8).tobytes())
    sums = stored.sum(axis=0) & 0xFFFF
    lines = [
        f"p.dat 212 200 12 0 {value} {total} 0 {lead}"
        for lead, value, total in zip(("I", "II", "V1"), stored[0], sums, strict=True)
    ]
    (tmp_path / "p.hea").write_text("\n".join(["p 3 100 1000", *lines, ""]))

    span = read_span(open_long_record(tmp_path / "p.hea"), 3.33, 2.0)

    first = round(span.start_s * 100)
    whole = read(tmp_path / "p.hea").microvolts
    np.testing.assert_array_equal(span.recording.microvolts, whole[:, first : first + 201])


def test_identity_of_the_bytes_is_that_of_the_parcel(recording: Recording, tmp_path: Path) -> None:
    path = _write(recording, tmp_path)

    long, whole = open_long_record(path).origin, read(path).origin

    assert long is not None
    assert whole is not None
    assert (long.sha256, long.byte_count) == (whole.sha256, whole.byte_count)


def test_more_than_is_read_whole_is_read_in_stretches(tmp_path: Path) -> None:
    samples = np.zeros((1, round(7200 * RATE_HZ)))
    samples[0, ::80] = 500.0
    path = _write(Recording(leads=("II",), microvolts=samples, rate_hz=RATE_HZ), tmp_path)

    with pytest.raises(UnsupportedFeature, match="2 h long"):
        read(path)
    record = open_long_record(path)
    spans = list(iterate_spans(record))

    assert record.duration_s == pytest.approx(7200.0)
    assert spans[0].start_s == 0.0
    assert spans[-1].end_s == pytest.approx(7200.0)
    for before, after in pairwise(spans):
        assert before.end_s - after.start_s == pytest.approx(OVERLAP_S, abs=0.02)
    assert max(span.recording.duration_s for span in spans) <= SPAN_S


def test_record_name_without_its_ending_is_found(recording: Recording, tmp_path: Path) -> None:
    path = _write(recording, tmp_path)

    assert open_long_record(path.with_suffix("")).sample_count == 3001


def test_other_formats_are_held_whole(recording: Recording, tmp_path: Path) -> None:
    filled = replace(recording, microvolts=np.nan_to_num(recording.microvolts))
    path = tmp_path / "short.csv"
    path.write_bytes(write_csv(filled))

    record = open_long_record(path)
    span = read_span(record, 10.0, 5.0)

    assert record.whole is not None
    np.testing.assert_allclose(span.recording.microvolts, filled.microvolts[:, 1000:1500], atol=1)


def test_stretch_behind_the_end_is_refused(recording: Recording, tmp_path: Path) -> None:
    record = open_long_record(_write(recording, tmp_path))

    with pytest.raises(InvalidInput, match="holds nothing from 40 s on"):
        read_span(record, 40.0, 5.0)


def test_missing_samples_are_named(recording: Recording, tmp_path: Path) -> None:
    path = _write(recording, tmp_path)
    (tmp_path / "long.dat").unlink()

    with pytest.raises(CorruptFile, match=r"refers to long\.dat"):
        open_long_record(path)


def test_file_cut_short_is_told_when_its_end_is_read(recording: Recording, tmp_path: Path) -> None:
    path = _write(recording, tmp_path)
    data = tmp_path / "long.dat"
    data.write_bytes(data.read_bytes()[:9000])
    record = open_long_record(path)

    assert read_span(record, 2.0, 3.0).recording.sample_count == 300
    with pytest.raises(CouchsideError, match="promises"):
        read_span(record, 20.0, 5.0)


def test_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match="there is no file nothing"):
        open_long_record(tmp_path / "nothing")


@pytest.mark.parametrize("rate", ["0", "-5", "1e9"])
def test_a_rate_that_cannot_be_is_refused(recording: Recording, tmp_path: Path, rate: str) -> None:
    path = _write(recording, tmp_path)
    path.write_text(path.read_text().replace("long 3 100 ", f"long 3 {rate} "))
    with pytest.raises(CorruptFile, match="states a sampling rate"):
        open_long_record(path)


@pytest.mark.parametrize("name", [".", "..", "/", "elsewhere/long.dat"])
def test_only_a_file_beside_the_header_is_followed(
    recording: Recording, tmp_path: Path, name: str
) -> None:
    path = _write(recording, tmp_path)
    path.write_text(path.read_text().replace("long.dat", name))
    with pytest.raises(CorruptFile, match="does not lie beside it"):
        open_long_record(path)


@pytest.mark.parametrize(("start_s", "seconds"), [(0.0, math.nan), (0.0, math.inf), (math.nan, 1)])
def test_a_stretch_that_is_no_stretch_is_refused(
    recording: Recording, tmp_path: Path, start_s: float, seconds: float
) -> None:
    record = open_long_record(_write(recording, tmp_path))
    with pytest.raises(InvalidInput, match="are no stretch"):
        read_span(record, start_s, seconds)


def test_a_closed_folder_on_the_way_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_path: Path) -> bool:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "is_file", refuse)  # the tests may run as root, whom none refuses
    with pytest.raises(InvalidInput, match=r"^r\.hea may not be read by this user"):
        open_long_record(tmp_path / "r.hea")


def test_a_folder_is_refused_as_when_it_is_read_whole() -> None:
    with pytest.raises(InvalidInput, match="is a folder"):
        open_long_record(".")
