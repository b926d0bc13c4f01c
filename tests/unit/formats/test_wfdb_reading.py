"""WFDB records: headers, storage, segments, comments, checksums."""

from __future__ import annotations

import struct
from datetime import datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.errors import CorruptFile, FormatError, InvalidInput, UnsupportedFeature
from couchside.formats import ArrivedFile, Parcel, ReadHints, read_parcel
from couchside.formats.wfdb_comments import parse_start, read_comments
from couchside.formats.wfdb_header import parse_header
from couchside.formats.wfdb_signals import STORAGE_FORMATS, count_samples, sum_check
from couchside.recording import Sex

TWO_BY_THREE = np.array([[10, -20, 30], [400, 500, -600]], dtype=np.int16)


def words(samples: NDArray[np.int16]) -> bytes:
    return samples.T.astype("<i2").tobytes()


def record(header: str, **files: bytes) -> Parcel:
    """A header, and signal files given as ``name_dat=bytes``."""
    arrived = [ArrivedFile(name="r.hea", content=header.encode())]
    arrived += [
        ArrivedFile(name=name.replace("_", "."), content=content) for name, content in files.items()
    ]
    return Parcel(files=tuple(arrived))


def test_gain_baseline_and_unit() -> None:
    header = "r 2 250 3\nr.dat 16 200(10)/mV 16 0 10 20 0 I\nr.dat 16 2/uV 16 400 400 300 0 II\n"
    recording = read_parcel(record(header, r_dat=words(TWO_BY_THREE)))
    assert recording.rate_hz == 250
    np.testing.assert_allclose(recording.get_lead("I"), [0, -150, 100])
    np.testing.assert_allclose(recording.get_lead("II"), [0, 50, -500])
    assert recording.settings.resolution_uv == 5


def test_a_header_with_only_what_must_stand() -> None:
    """Without gain: not calibrated, 200 steps per mV by the format's own rule."""
    recording = read_parcel(
        record("r 2 360\nr.dat 16\nr.dat 16\n", r_dat=words(TWO_BY_THREE)),
    )
    assert recording.leads == ("signal 1", "signal 2")
    np.testing.assert_allclose(recording.microvolts, TWO_BY_THREE * 5.0)
    assert recording.settings.resolution_uv is None
    assert all("not calibrated" in remark for remark in recording.remarks)


def test_a_hint_calibrates_what_the_header_does_not() -> None:
    parcel = record("r 1 360\nr.dat 16 0 12 0 0 0 0 V1\n", r_dat=struct.pack("<3h", 2, -1, -1))
    recording = read_parcel(parcel, ReadHints(microvolts_per_unit=2.5))
    np.testing.assert_allclose(recording.get_lead("V1"), [5, -2.5, -2.5])
    assert recording.remarks == ()


def test_a_header_without_a_rate_asks_for_one() -> None:
    parcel = record("r 1\nr.dat 16 200\n", r_dat=b"\x01\x00")
    with pytest.raises(InvalidInput, match=r"^r\.hea states no sampling rate; .*--rate"):
        read_parcel(parcel)
    assert read_parcel(parcel, ReadHints(rate_hz=250.0)).rate_hz == 250


def test_a_stated_rate_is_not_overruled() -> None:
    parcel = record("r 1 360\nr.dat 16 200\n", r_dat=b"\x01\x00")
    assert read_parcel(parcel, ReadHints(rate_hz=250.0)).rate_hz == 360


def test_a_file_named_again_after_another_is_refused() -> None:
    """Read as two files of one signal each, its samples would be taken for the wrong leads."""
    header = "r 3 360 3\na.dat 16 200\nb.dat 16 200\na.dat 16 200\n"
    parcel = record(header, a_dat=words(TWO_BY_THREE), b_dat=words(TWO_BY_THREE[:1]))
    with pytest.raises(CorruptFile, match=r"^r\.hea names a signal file, then another"):
        read_parcel(parcel)


def test_signals_in_several_files() -> None:
    header = "r 2 500 3\na.dat 16 1000 16 0 10 20 0 i\nb.dat 80 1000 8 0 1 6 0 vx\n"
    recording = read_parcel(record(header, a_dat=words(TWO_BY_THREE[:1]), b_dat=b"\x81\x82\x83"))
    assert recording.leads == ("I", "X")
    np.testing.assert_allclose(recording.microvolts, [[10, -20, 30], [1, 2, 3]])


def test_signal_files_of_different_length() -> None:
    header = "r 2 500\na.dat 16 1000\nb.dat 16 1000\n"
    with pytest.raises(CorruptFile, match="3 and 4 samples"):
        read_parcel(record(header, a_dat=b"\x00" * 6, b_dat=b"\x00" * 8))


def test_a_file_that_did_not_come_along() -> None:
    with pytest.raises(CorruptFile, match=r"refers to a\.dat, which did not come along"):
        read_parcel(record("r 1 500 3\na.dat 16 1000\n"))


def test_an_offset_before_the_samples() -> None:
    header = "r 1 500 3\nr.mat 16+24 1000/mV 16 0 10 20 0 V1\n"
    recording = read_parcel(record(header, r_mat=b"\xee" * 24 + words(TWO_BY_THREE[:1])))
    np.testing.assert_allclose(recording.get_lead("V1"), [10, -20, 30])


def test_a_wrong_checksum_is_found() -> None:
    header = "r 1 500 3\nr.dat 16 1000 16 0 10 21 0 V1\n"
    with pytest.raises(CorruptFile, match=r"V1 in r\.dat adds up to the checksum 20.* states 21"):
        read_parcel(record(header, r_dat=words(TWO_BY_THREE[:1])))


def test_signals_that_are_no_voltage_are_left_out_and_named() -> None:
    header = "r 2 500 3\nr.dat 16 1000 16 0 10 20 0 II\nr.dat 16 10/mmHg 16 0 0 300 0 ABP\n"
    recording = read_parcel(record(header, r_dat=words(TWO_BY_THREE)))
    assert recording.leads == ("II",)
    assert recording.remarks == ("ABP (mmHg) is no voltage and was left out.",)


def test_only_other_signals() -> None:
    with pytest.raises(CorruptFile, match=r"no signal in a unit of voltage .*mmHg"):
        read_parcel(record("r 1 500 3\nr.dat 16 10/mmHg\n", r_dat=b"\x00" * 6))


def test_names_that_say_nothing_are_numbered() -> None:
    header = "r 2 500 3\nr.dat 16 1000 16 0 10 20 0 ECG\nr.dat 16 1000 16 0 400 300 0 ECG\n"
    assert read_parcel(record(header, r_dat=words(TWO_BY_THREE))).leads == ("ECG 1", "ECG 2")


@pytest.mark.parametrize(
    ("header", "words_in_it"),
    [
        ("r 2 500 3\nr.dat 16 1000\n", "promises 2 signals and describes 1"),
        ("r 1 500 3\nr.dat sixteen 1000\n", "sixteen"),
        ("r 1 500 3\nr.dat 16 1000 16 zero\n", "'zero' where a whole number belongs"),
        ("r 1 500 3\nr.dat 16 fine/mV\n", "gain 'fine/mV'"),
        ("r 1 500 3\nr.dat 16 1e300/mV\n", "gain '1e300/mV'"),
        ("r 1 nan 3\nr.dat 16 1000\n", "sampling rate 'nan'"),
        ("r/2 1 500 6\na 3\n", "promises 2 segments and describes 1"),
        ("r/1 1 500 6\na three\n", "segment as 'a three'"),
        ("# nothing but a comment\nr 0 500 3\n", "no signal"),
    ],
)
def test_headers_that_break_the_rules(header: str, words_in_it: str) -> None:
    with pytest.raises(CorruptFile, match=rf"^r\.hea .*{words_in_it}"):
        read_parcel(record(header, r_dat=b"\x00" * 6))


@pytest.mark.parametrize(
    ("field", "words_in_it"),
    [
        ("310", "WFDB format 310, and formats 16, 24, 32, 61, 80, 212"),
        ("16x4", "several rates"),
        ("16:5", "shifted"),
    ],
)
def test_what_is_lawful_but_not_read(field: str, words_in_it: str) -> None:
    with pytest.raises(UnsupportedFeature, match=words_in_it):
        read_parcel(record(f"r 1 500 3\nr.dat {field} 1000\n", r_dat=b"\x00" * 60))


def test_two_storage_formats_in_one_file() -> None:
    with pytest.raises(CorruptFile, match="different storage formats"):
        read_parcel(record("r 2 500 3\nr.dat 16 1000\nr.dat 80 1000\n", r_dat=b"\x00" * 60))


def test_a_day_long_record_is_refused_before_its_samples_are_looked_for() -> None:
    header = "r 12 500 43200000\n" + "".join(f"r.dat 16 1000 16 0 0 0 0 L{n}\n" for n in range(12))
    with pytest.raises(UnsupportedFeature, match=r"^r\.hea is 24 h long, and .* up to one hour"):
        read_parcel(record(header))


def test_segments_follow_each_other_and_gaps_are_missing() -> None:
    """A record of variable layout: a layout segment, then pieces with different leads."""
    recording = read_parcel(
        record(
            "r/4 2 500 8\nlayout 0\na 3\n~ 2\nb 3\n",
            layout_hea=b"layout 2 500 0\n~ 0 1000/mV 16 0 0 0 0 I\n~ 0 1000/mV 16 0 0 0 0 II\n",
            a_hea=b"a 2 500 3\na.dat 16 1000 16 0 10 20 0 I\na.dat 16 1000 16 0 400 300 0 II\n",
            a_dat=words(TWO_BY_THREE),
            b_hea=b"b 1 500 3\nb.dat 16 500 16 0 10 20 0 II\n",
            b_dat=words(TWO_BY_THREE[:1]),
        )
    )
    nan = np.nan
    np.testing.assert_allclose(recording.get_lead("I"), [10, -20, 30, nan, nan, nan, nan, nan])
    np.testing.assert_allclose(recording.get_lead("II"), [400, 500, -600, nan, nan, 20, -40, 60])
    assert recording.settings.resolution_uv == 2


@pytest.mark.parametrize(
    ("segment", "words_in_it"),
    [
        (b"a 1 500 4\na.dat 16 1000\n", "describes something else"),
        (b"a 1 250 3\na.dat 16 1000\n", "250 Hz"),
        (b"a/1 1 500 3\nr 3\n", "describes something else"),
    ],
)
def test_segments_that_do_not_fit(segment: bytes, words_in_it: str) -> None:
    parcel = record("r/1 1 500 3\na 3\n", a_hea=segment, a_dat=b"\x00" * 8)
    with pytest.raises(FormatError, match=words_in_it):
        read_parcel(parcel)


@pytest.mark.parametrize(
    ("comments", "age_years", "sex", "remarks"),
    [
        (("Age: 74", "Sex: Male", "Dx: 1"), 74, Sex.MALE, ("Dx: 1",)),
        (("age: 81", "sex: female", "ECG date: x"), 81, Sex.FEMALE, ("ECG date: x",)),
        (("<age>: 51", "<sex>: F", "<diagnoses>:"), 51, Sex.FEMALE, ("<diagnoses>:",)),
        (("<age>: 49 <sex>: M",), 49, Sex.MALE, ()),
        (("69 M 1456 653 x2", "Digoxin"), 69, Sex.MALE, ("69 M 1456 653 x2", "Digoxin")),
        (("Age: NaN", "Sex: Unknown"), None, Sex.NOT_STATED, ()),
        (("Age: 300",), None, Sex.NOT_STATED, ()),
        (("Stage: 3", "Sexton: M"), None, Sex.NOT_STATED, ("Stage: 3", "Sexton: M")),
        (("", "Rhythm: sinus"), None, Sex.NOT_STATED, ("Rhythm: sinus",)),
    ],
)
def test_comments(
    comments: tuple[str, ...], age_years: float | None, sex: Sex, remarks: tuple[str, ...]
) -> None:
    patient, rest = read_comments(comments)
    assert (patient.stated_age_years, patient.sex, rest) == (age_years, sex, remarks)


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("12:33:59 05/12/2020", datetime.fromisoformat("2020-12-05T12:33:59")),
        ("12:33:59.250 05/12/2020", datetime.fromisoformat("2020-12-05T12:33:59.250")),
        ("", None),
    ],
)
def test_start(text: str, start: datetime | None) -> None:
    assert parse_start(text) == (start, ())


@pytest.mark.parametrize("text", ["12-May-2020 12:33:59", "0:01", "99:99:99 01/01/2020", "x"])
def test_a_start_in_another_form_is_kept_as_a_remark(text: str) -> None:
    start, remarks = parse_start(text)
    assert start is None
    assert remarks == (f"Start as the header states it: {text}",)


def test_latin_1_comments() -> None:
    header = parse_header(ArrivedFile(name="r.hea", content=b"r 1 500\nr.dat 16\n#Caf\xe9\n"))
    assert header.comments == ("Café",)


@pytest.mark.parametrize("number", sorted(STORAGE_FORMATS))
def test_bytes_and_samples_are_counted_alike(number: int) -> None:
    storage = STORAGE_FORMATS[number]
    for count in range(1, 12):
        assert count_samples(storage, storage.count_bytes(count)) == count


def test_checksum_wraps_around() -> None:
    assert sum_check(np.array([[32_000, 32_000, 32_000]])).tolist() == [96_000 - 65_536]
