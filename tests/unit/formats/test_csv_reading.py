"""CSV tables: headings, units, times, statements, damaged cells."""

from __future__ import annotations

from datetime import date, datetime

import numpy as np
import pytest

from couchside.errors import CorruptFile, CouchsideError, InvalidInput, UnknownFormat
from couchside.formats import ArrivedFile, Parcel, ReadHints, read_parcel
from couchside.formats.csv_header import ColumnKind, find_header
from couchside.formats.csv_statements import KEYS, read_statements
from couchside.recording import Placement, Recording, Sex


def read_table(text: str | bytes, hints: ReadHints | None = None) -> Recording:
    content = text.encode() if isinstance(text, str) else text
    parcel = Parcel(files=(ArrivedFile(name="t.csv", content=content),))
    return read_parcel(parcel, hints or ReadHints())


def test_unit_and_rate_from_comments() -> None:
    recording = read_table("# rate_hz: 500\n# unit: mV\nI,avr,ECG V1\n0.1,-1,2\n0.2,0,2.5\n")
    assert recording.leads == ("I", "aVR", "V1")
    assert recording.rate_hz == 500
    np.testing.assert_allclose(recording.microvolts, [[100, 200], [-1000, 0], [2000, 2500]])


@pytest.mark.parametrize(
    ("heading", "name", "microvolts"),
    [
        ("II_mV", "II", 1000),
        ("II (mV)", "II", 1000),
        ("II [µV]", "II", 1),
        ("II/uV", "II", 1),
        ("ii mv", "II", 1000),
        ("lead ii_V", "II", 1e6),
        ("odd name_uV", "odd name", 1),
    ],
)
def test_a_unit_in_the_heading(heading: str, name: str, microvolts: float) -> None:
    recording = read_table(f"# rate_hz: 500\n{heading}\n1\n2\n")
    assert recording.leads == (name,)
    np.testing.assert_allclose(recording.microvolts, [[microvolts, 2 * microvolts]])


@pytest.mark.parametrize(
    ("heading", "step"),
    [("time_s", "0.004"), ("time_ms", "4"), ("seconds", "0.004"), ("Time (s)", "0.004")],
)
def test_the_rate_comes_from_the_times(heading: str, step: str) -> None:
    rows = "".join(f"{float(step) * row:.4f},{row}\n" for row in range(100))
    recording = read_table(f"{heading},I_uV\n{rows}")
    assert recording.rate_hz == 250
    assert recording.leads == ("I",)


def test_rounded_times_still_give_a_whole_rate() -> None:
    """360 Hz in whole milliseconds: 0, 3, 6, 8, 11 …"""
    rows = "".join(f"{round(row * 1000 / 360)},0\n" for row in range(720))
    assert read_table(f"time_ms,I_uV\n{rows}").rate_hz == 360


def test_a_rate_that_is_not_whole_is_kept() -> None:
    rows = "".join(f"{row / 257.5:.9f},0\n" for row in range(2000))
    assert read_table(f"time_s,I_uV\n{rows}").rate_hz == pytest.approx(257.5, rel=1e-6)


def test_decimal_commas_with_semicolons() -> None:
    recording = read_table("# rate_hz: 500\nI_mV;II_mV\n0,5;-1,25\n1;,5\n")
    np.testing.assert_allclose(recording.microvolts, [[500, 1000], [-1250, 500]])


def test_tabs() -> None:
    recording = read_table("# rate_hz: 500\nI_mV\tII_mV\n0.5\t-1,25\n1\t\n")
    np.testing.assert_allclose(recording.microvolts, np.array([[500, 1000], [-1250, np.nan]]))


@pytest.mark.parametrize("mark", ["", " ", "NaN", "nan", "NA", "null"])
def test_missing_samples(mark: str) -> None:
    recording = read_table(f"# rate_hz: 500\nI_uV,II_uV\n1,{mark}\n2,3\n")
    np.testing.assert_array_equal(recording.microvolts, np.array([[1, 2], [np.nan, 3]]))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_encodings_and_line_ends(encoding: str) -> None:
    text = "# rate_hz: 500\r\n# family_name: Müller\r\nI (µV),II (µV)\r\n1,2\r\n"
    recording = read_table(text.encode(encoding))
    assert recording.patient.family_name == "Müller"
    np.testing.assert_array_equal(recording.microvolts, [[1], [2]])


def test_quoted_headings_counters_and_other_quantities() -> None:
    recording = read_table('# rate_hz: 500\n"sample","I_uV","Paw_mmHg"\n0,"1",7\n1,2,x\n')
    assert recording.leads == ("I",)
    np.testing.assert_array_equal(recording.microvolts, [[1, 2]])
    assert recording.remarks == ("Column Paw_mmHg is no voltage and was left out.",)


def test_without_a_unit_the_option_is_named() -> None:
    text = "# rate_hz: 500\nI,II\n1,2\n"
    with pytest.raises(InvalidInput, match=r"^t\.csv states no unit for I; .*--unit"):
        read_table(text)
    recording = read_table(text, ReadHints(microvolts_per_unit=4.88))
    np.testing.assert_allclose(recording.microvolts, [[4.88], [9.76]])


def test_without_a_rate_the_option_is_named() -> None:
    text = "# unit: uV\nI,II\n1,2\n"
    with pytest.raises(InvalidInput, match=r"^t\.csv states no sampling rate; .*--rate"):
        read_table(text)
    assert read_table(text, ReadHints(rate_hz=1000.0)).rate_hz == 1000


def test_what_the_file_states_is_not_overruled() -> None:
    hints = ReadHints(rate_hz=1000.0, microvolts_per_unit=7.0)
    recording = read_table("# rate_hz: 500\n# unit: mV\nI,II\n1,2\n", hints)
    assert recording.rate_hz == 500
    assert recording.microvolts[0, 0] == 1000


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1,2,3\n4,5,6\n", "begins with numbers"),
        ("# unit: mV\n0;1\n", "begins with numbers"),
        ("# rate_hz: 5\nI_uV,II_uV\n1,2\n3\n", "1 cells in line 4 where its heading has 2"),
        ("# rate_hz: 5\nI_uV,II_uV\n1,2\n3,x\n", "'x' under II_uV in line 4"),
        ("# rate_hz: 5\nI_uV,II_uV\n1,inf\n", "infinite"),
        ("# rate_hz: 5\nI_mV,II_uV\n1e308,1\n", "infinite"),
        ('# rate_hz: 5\nI_uV,II_uV\n1,"2\n', "0 cells in line 3"),
        ("# rate_hz: 5\nI_uV,I_mV\n1,2\n", "lead I more than once"),
        ("# rate_hz: 5\nI_uV,II_uV\n", "no samples"),
        ("# rate_hz: quick\nI_uV\n1\n", "rate_hz as 'quick', where a number belongs"),
        ("# rate_hz: inf\nI_uV\n1\n", "rate_hz as 'inf'"),
        ("# rate_hz: 5\n# unit: cm\nI\n1\n", "unit as 'cm', where one of uV, mV"),
        ("# rate_hz: 5\n# birth_date: 3.4.61\nI_uV\n1\n", "birth_date as '3.4.61'"),
        ("# rate_hz: 5\n# sex: fem\nI_uV\n1\n", "sex as 'fem', where female, male"),
        ("time,I_uV\n0,1\n1,1\n", "'time', whose unit is not known"),
        ("time_s,I_uV\n0,1\n0,1\n", "do not go forward"),
        ("time_s,I_uV\n0,1\n0.1,1\n0.2,1\n5,1\n", "not evenly spaced"),
        ("time_s,I_uV\n0,1\n,1\n0.2,1\n", "not evenly spaced"),
        ("# rate_hz: 500\ntime_s,I_uV\n0,1\n0.1,1\n0.2,1\n", "500 Hz while .* 10 Hz"),
    ],
)
def test_tables_that_break_the_rules(text: str, told: str) -> None:
    with pytest.raises(CorruptFile, match=rf"^t\.csv .*{told}"):
        read_table(text)


@pytest.mark.parametrize(
    "text", ["Dear colleague,\nthank you, yours,\n", "a,b\n1,2\n", "42", "# only\n# comments\n"]
)
def test_other_texts_are_no_tables(text: str) -> None:
    with pytest.raises(UnknownFormat, match="no format that is read here"):
        read_table(text)


def test_a_single_time_needs_another_source_of_the_rate() -> None:
    with pytest.raises(CouchsideError, match="--rate"):
        read_table("time_s,I_uV\n0,1\n")


def test_columns_are_told_apart() -> None:
    header = find_header("n,time_s,I_uV,Paw_mmHg\n")
    assert header is not None
    assert [column.kind for column in header.columns] == [
        ColumnKind.COUNTER,
        ColumnKind.TIME,
        ColumnKind.LEAD,
        ColumnKind.OTHER,
    ]


def test_all_statements() -> None:
    statements = read_statements(
        "t.csv",
        (
            "Start: 2031-05-06T07:08:09+02:00",
            "patient id: W-1",
            "birth_date: 1961-02-03",
            "age_years: 70",
            "sex: Female",
            "notch_hz: 0",
            "placement: right-sided chest leads",
            "model: Bench: two",
            "study_uid: 1.2.3",
            "remark: shivered: a lot",
            "anything else",
            "unknown: key",
            "",
        ),
    )
    assert statements.start == datetime.fromisoformat("2031-05-06T07:08:09+02:00")
    assert statements.patient.identifier == "W-1"
    assert statements.patient.birth_date == date(1961, 2, 3)
    assert (statements.patient.stated_age_years, statements.patient.sex) == (70, Sex.FEMALE)
    assert statements.settings.notch_hz == 0
    assert statements.placement is Placement.RIGHT_SIDED
    assert statements.device.model == "Bench: two"
    assert statements.order.study_uid == "1.2.3"
    assert statements.remarks == ("shivered: a lot", "anything else", "unknown: key")


def test_every_key_is_understood() -> None:
    """A key that were only listed would be dropped without a trace."""
    with_words = {"unit", "sex", "placement"}
    for key in KEYS:
        value = {"start": "2031-05-06", "birth_date": "2031-05-06"}.get(key, "7")
        if key in with_words:
            with pytest.raises(CorruptFile, match=f"states {key}"):
                read_statements("t.csv", (f"{key}: {value}",))
        else:
            assert read_statements("t.csv", (f"{key}: {value}",)) != read_statements("t.csv", ())
