"""What is written is read again, within half a step, by every format that is written."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from datetime import date, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from couchside.formats import (
    ArrivedFile,
    Parcel,
    read_parcel,
    write_csv,
    write_dicom,
    write_wfdb,
)
from couchside.recording import (
    AcquisitionSettings,
    Device,
    Lead,
    OrderReference,
    Patient,
    Placement,
    Recording,
    Sex,
)

CSV_STEP_UV = 0.001


def to_dicom(recording: Recording) -> Parcel:
    return Parcel(files=(ArrivedFile(name="r.dcm", content=write_dicom(recording)),))


def to_csv(recording: Recording) -> Parcel:
    return Parcel(files=(ArrivedFile(name="r.csv", content=write_csv(recording)),))


def to_wfdb(recording: Recording) -> Parcel:
    return write_wfdb(recording, "r")


def is_plain(text: str) -> bool:
    """No separator of any of the formats, and no white space that a reader trims or folds."""
    return text == " ".join(text.split()) and not set(text) & set("\\^=")


def words(longest: int) -> st.SearchStrategy[str]:
    letters = st.characters(categories=("L", "N", "P", "S", "Zs"), max_codepoint=0x2FFF)
    texts = st.text(letters, max_size=longest).map(lambda text: " ".join(text.split()))
    return texts.filter(is_plain).map(lambda text: unicodedata.normalize("NFC", text)[:longest])


def starts() -> st.SearchStrategy[datetime]:
    first, last = datetime(1000, 1, 1), datetime(9998, 12, 31)  # noqa: DTZ001 (a file may state no zone)
    naive = st.datetimes(first, last)
    minutes = st.none() | st.integers(-12 * 60, 14 * 60)
    return st.builds(put_into_zone, naive, minutes)


def put_into_zone(naive: datetime, minutes: int | None) -> datetime:
    zone = None if minutes is None else timezone(timedelta(minutes=minutes))
    return naive.replace(tzinfo=zone)


def numbers(lowest: float, highest: float) -> st.SearchStrategy[float]:
    """With few digits, as a recorder states them."""
    return st.floats(lowest, highest).map(lambda value: float(f"{value:.6g}"))


@st.composite
def recordings(draw: st.DrawFn) -> Recording:
    leads = draw(st.lists(st.sampled_from(list(Lead)), min_size=1, max_size=18, unique=True))
    samples = st.floats(-20_000, 20_000, width=32) | st.just(float("nan"))
    shape = (len(leads), draw(st.integers(1, 12)))
    microvolts = draw(arrays(np.float64, shape, elements=samples))
    microvolts[0, 0] = 12.0  # a recording of nothing but missing samples is refused
    return Recording(
        leads=tuple(leads),
        microvolts=microvolts,
        rate_hz=draw(numbers(50, 1000)),
        start=draw(starts()),
        patient=Patient(
            identifier=draw(words(64)),
            family_name=draw(words(40)),
            given_name=draw(words(20)),
            birth_date=draw(st.none() | st.dates(date(1000, 1, 1))),
            stated_age_years=draw(st.none() | st.integers(0, 120).map(float)),
            sex=draw(st.sampled_from(list(Sex))),
        ),
        settings=AcquisitionSettings(
            high_pass_hz=draw(st.none() | numbers(0.001, 10)),
            low_pass_hz=draw(st.none() | numbers(20, 500)),
            notch_hz=draw(st.sampled_from([None, 0.0, 50.0, 60.0])),
            resolution_uv=draw(st.none() | numbers(0.01, 10)),
        ),
        placement=draw(st.sampled_from(list(Placement))),
        device=Device(manufacturer=draw(words(64)), station_name=draw(words(16))),
        order=OrderReference(
            accession_number=draw(words(16)), requested_procedure_id=draw(words(16))
        ),
    )


Writer = Callable[[Recording], Parcel]


@pytest.mark.parametrize("write", [to_dicom, to_wfdb, to_csv])
@settings(max_examples=120, deadline=None)
@given(recording=recordings())
def test_samples_come_back_within_half_a_step(write: Writer, recording: Recording) -> None:
    back = read_parcel(write(recording))
    step_uv = CSV_STEP_UV if write is to_csv else back.settings.resolution_uv
    assert step_uv is not None
    assert back.leads == recording.leads
    assert back.rate_hz == recording.rate_hz
    np.testing.assert_array_equal(np.isnan(back.microvolts), np.isnan(recording.microvolts))
    distance = np.nan_to_num(np.abs(back.microvolts - recording.microvolts))
    assert distance.max() <= step_uv / 2 * (1 + 1e-9)


@pytest.mark.parametrize("write", [to_dicom, to_csv])
@settings(max_examples=150, deadline=None)
@given(recording=recordings())
def test_what_is_stated_comes_back(write: Writer, recording: Recording) -> None:
    back = read_parcel(write(recording))
    assert back.start == recording.start
    assert back.patient == recording.patient
    assert back.placement is recording.placement
    assert back.device == recording.device
    assert back.order.accession_number == recording.order.accession_number
    assert back.order.requested_procedure_id == recording.order.requested_procedure_id
    assert back.settings.high_pass_hz == recording.settings.high_pass_hz
    assert back.settings.low_pass_hz == recording.settings.low_pass_hz
    assert back.settings.notch_hz == recording.settings.notch_hz
    assert recording.start is not None
    assert back.start is not None
    assert back.start.utcoffset() == recording.start.utcoffset()


@settings(max_examples=60, deadline=None)
@given(recording=recordings())
def test_a_wfdb_header_keeps_age_sex_and_local_time(recording: Recording) -> None:
    back = read_parcel(to_wfdb(recording))
    assert recording.start is not None
    assert back.start == recording.start.replace(tzinfo=None)
    if recording.patient.birth_date is None:
        assert back.patient.stated_age_years == recording.patient.stated_age_years
    assert back.patient.sex is recording.patient.sex


@settings(max_examples=60, deadline=None)
@given(recording=recordings())
def test_writing_twice_gives_the_same_bytes(recording: Recording) -> None:
    for write in (to_dicom, to_wfdb, to_csv):
        first, second = write(recording), write(recording)
        assert first.sha256 == second.sha256
