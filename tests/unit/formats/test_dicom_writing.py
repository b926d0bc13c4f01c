"""Writing DICOM: which object, what survives, what cannot be written."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from io import BytesIO

import numpy as np
import pytest
from pydicom import dcmread

from couchside.errors import InvalidInput, UnsupportedFeature
from couchside.formats import ArrivedFile, Parcel, read_parcel, write_dicom
from couchside.formats.dicom_text import format_decimal
from couchside.recording import Placement, Recording


def read_back(recording: Recording) -> Recording:
    content = write_dicom(recording)
    return read_parcel(Parcel(files=(ArrivedFile(name="w.dcm", content=content),)))


def test_everything_survives(full_recording: Recording) -> None:
    back = read_back(full_recording)
    for name in (
        "leads",
        "rate_hz",
        "start",
        "patient",
        "settings",
        "placement",
        "device",
        "order",
        "remarks",
    ):
        assert getattr(back, name) == getattr(full_recording, name)
    assert back.start is not None
    assert back.start.utcoffset() == timedelta(hours=5.5)
    np.testing.assert_array_equal(back.microvolts, full_recording.microvolts)


@pytest.mark.parametrize("placement", list(Placement))
def test_every_placement_survives(full_recording: Recording, placement: Placement) -> None:
    assert read_back(replace(full_recording, placement=placement)).placement is placement


def test_the_same_recording_gives_the_same_bytes(full_recording: Recording) -> None:
    assert write_dicom(full_recording) == write_dicom(replace(full_recording))


def test_uids_are_of_the_content(full_recording: Recording) -> None:
    """Other samples make another object; the study is the order's."""
    other = full_recording.microvolts.copy()
    other[0, 0] += 5
    first, second = (
        dcmread(BytesIO(write_dicom(each)))
        for each in (full_recording, replace(full_recording, microvolts=other))
    )
    assert first.StudyInstanceUID == second.StudyInstanceUID == "2.25.4711"
    assert first.SOPInstanceUID != second.SOPInstanceUID
    for uid in (first.SOPInstanceUID, first.SeriesInstanceUID):
        assert uid.startswith("2.25.")
        assert uid.is_valid


@pytest.mark.parametrize(
    ("leads", "rate_hz", "seconds", "kind"),
    [
        (12, 500, 2, "12-lead ECG Waveform Storage"),
        (12, 1000, 17, "General ECG Waveform Storage"),
        (3, 500, 2, "General ECG Waveform Storage"),
        (12, 100, 2, "Ambulatory ECG Waveform Storage"),
    ],
)
def test_the_object_that_fits(
    full_recording: Recording, leads: int, rate_hz: float, seconds: int, kind: str
) -> None:
    recording = replace(
        full_recording,
        leads=full_recording.leads[:leads],
        microvolts=np.zeros((leads, int(rate_hz * seconds))),
        rate_hz=rate_hz,
    )
    assert dcmread(BytesIO(write_dicom(recording))).SOPClassUID.name == kind


@pytest.mark.parametrize("rate_hz", [10.0, 2000.0])
def test_a_rate_that_fits_no_object(full_recording: Recording, rate_hz: float) -> None:
    with pytest.raises(UnsupportedFeature, match="fits no DICOM ECG object"):
        write_dicom(replace(full_recording, rate_hz=rate_hz))


def test_a_start_that_is_not_stated_is_not_made_up(full_recording: Recording) -> None:
    with pytest.raises(InvalidInput, match="does not state when it began"):
        write_dicom(replace(full_recording, start=None))


def test_a_naive_start_stays_naive(full_recording: Recording) -> None:
    start = datetime.fromisoformat("2031-05-06T07:08:09")
    assert read_back(replace(full_recording, start=start)).start == start


def test_a_zone_that_four_digits_cannot_state(full_recording: Recording) -> None:
    odd = timezone(timedelta(hours=1, seconds=17))
    start = datetime(2031, 5, 6, 7, 8, 9, tzinfo=odd)
    assert read_back(replace(full_recording, start=start)).start == start


@pytest.mark.parametrize(
    ("years", "text"), [(70.0, "070Y"), (1.5, "548D"), (4.25, "051M"), (90.5, "090Y")]
)
def test_ages(full_recording: Recording, years: float, text: str) -> None:
    patient = replace(full_recording.patient, stated_age_years=years)
    dataset = dcmread(BytesIO(write_dicom(replace(full_recording, patient=patient))))
    assert dataset.PatientAge == text


def test_an_age_that_cannot_be(full_recording: Recording) -> None:
    patient = replace(full_recording.patient, stated_age_years=-1.0)
    with pytest.raises(InvalidInput, match="an age of -1 years cannot be"):
        write_dicom(replace(full_recording, patient=patient))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a^b", r"'\^'"),
        ("a=b", "'='"),
        ("a\\b", r"\\\\"),
        ("a\nb", r"\\n"),
        ("x" * 65, "allows 64"),
    ],
)
def test_names_that_do_not_fit(full_recording: Recording, text: str, told: str) -> None:
    patient = replace(full_recording.patient, family_name=text)
    with pytest.raises(InvalidInput, match=rf"^the family name .*{told}"):
        write_dicom(replace(full_recording, patient=patient))


def test_other_texts_that_do_not_fit(full_recording: Recording) -> None:
    order = replace(full_recording.order, accession_number="x" * 17)
    with pytest.raises(InvalidInput, match=r"^the accession number .* allows 16"):
        write_dicom(replace(full_recording, order=order))
    order = replace(full_recording.order, study_uid="1.02")
    with pytest.raises(InvalidInput, match=r"'1\.02' is no DICOM UID"):
        write_dicom(replace(full_recording, order=order))


def test_a_long_remark_is_written_in_pieces(full_recording: Recording) -> None:
    back = read_back(replace(full_recording, remarks=("x" * 1024 + "y" * 3,)))
    assert back.remarks == ("x" * 1024, "yyy")


@pytest.mark.parametrize(
    ("value", "text"),
    [(500.0, "500"), (0.05, "0.05"), (1 / 3, "0.33333333333333"), (1e-7 / 3, "3.3333333333e-08")],
)
def test_decimal_strings_fit_into_sixteen_characters(value: float, text: str) -> None:
    assert format_decimal(value) == text
    assert len(text) <= 16
