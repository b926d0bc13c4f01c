"""A recording taken along says how it was taken and whose it is, in every format."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from io import BytesIO

import pydicom
import pytest

from couchside.errors import InvalidInput, NotFound
from couchside.formats import ArrivedFile, Parcel, read_parcel
from couchside.recording import Circumstances, Electrode, Placement, Position, Recording
from couchside.service.circumstances import write_circumstances
from couchside.service.desk import Desk
from couchside.service.exporting import ExportedFile
from couchside.service.receiving import Received, receive
from couchside.service.summaries import OrderSummary
from couchside.service.taking_along import FileKind, take_along
from couchside.service.trail import list_trail
from couchside.store.words import Source

Drop = Callable[..., Received]
WORDS = Circumstances(
    placement=Placement.TORSO,
    electrodes={Electrode.C4: "on the plaster’s edge"},
    position=Position.SUPINE,
    symptoms="palpitations",
    conditions="tremor",
    remark="Łukasz helped",
)
REMARKS = (
    "Electrodes moved: C4 on the plaster’s edge",
    "Position: supine",
    "Symptoms: palpitations",
    "Conditions: tremor",
    "Remark: Łukasz helped",
)


@pytest.fixture
def recording_id(desk: Desk, drop: Drop, order: OrderSummary) -> int:
    """A recording under its order, with words written on it."""
    received = drop(family_name="Fernholow")
    assert received.recording is not None
    write_circumstances(desk, received.recording.id, WORDS, seen_number=0)
    return received.recording.id


def read_back(taken: ExportedFile) -> Recording:
    files = (ArrivedFile(name=taken.file_name, content=taken.content),)
    return read_parcel(Parcel(files=files))


@pytest.mark.parametrize("kind", [FileKind.DICOM, FileKind.WFDB, FileKind.CSV])
def test_the_words_on_a_recording_are_in_every_format(
    desk: Desk, recording_id: int, kind: FileKind
) -> None:
    back = read_back(take_along(desk, recording_id, kind))
    assert [each for each in back.remarks if each in REMARKS] == list(REMARKS)
    if kind is not FileKind.WFDB:
        assert back.placement is Placement.TORSO


@pytest.mark.parametrize("kind", [FileKind.DICOM, FileKind.CSV])
def test_the_identity_is_that_of_the_order_and_the_files_own_is_told(
    desk: Desk, recording_id: int, order: OrderSummary, kind: FileKind
) -> None:
    back = read_back(take_along(desk, recording_id, kind))
    assert back.patient == order.patient
    assert any("The file states Fernholow, Ines" in each for each in back.remarks)


def test_a_person_without_a_date_of_birth_keeps_the_age_that_the_file_states(
    desk: Desk, drop: Drop
) -> None:
    received = drop(birth_date=None, age_years="44")
    assert received.recording is not None
    taken = take_along(desk, received.recording.id, FileKind.CSV)
    assert read_back(taken).patient.stated_age_years == 44


def test_dicom_states_the_placement_and_that_the_person_lay(desk: Desk, recording_id: int) -> None:
    taken = take_along(desk, recording_id, FileKind.DICOM)
    context = pydicom.dcmread(BytesIO(taken.content)).AcquisitionContextSequence
    assert [item.ConceptCodeSequence[0].CodeValue for item in context] == ["10:11266", "40199007"]


def test_json_is_the_assessment_with_the_words(desk: Desk, recording_id: int) -> None:
    document = json.loads(take_along(desk, recording_id, FileKind.JSON).content)
    assert set(REMARKS) <= set(document["recording"]["remarks"])
    assert document["patient"]["family_name"] == "Fernhollow"
    assert document["verdict"]


def test_the_original_is_the_bytes_that_came(
    desk: Desk, make_parcel: Callable[..., Parcel], order: OrderSummary
) -> None:
    parcel = make_parcel()
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.recording is not None
    taken = take_along(desk, received.recording.id, FileKind.ORIGINAL)
    assert (taken.content, taken.file_name) == (parcel.files[0].content, "ecg.csv")


def test_an_original_of_several_files_is_a_zip_of_them(desk: Desk, recording_id: int) -> None:
    wfdb = take_along(desk, recording_id, FileKind.WFDB)
    with zipfile.ZipFile(BytesIO(wfdb.content)) as archive:
        files = tuple(
            ArrivedFile(name=name, content=archive.read(name)) for name in archive.namelist()
        )
    received = receive(desk, Parcel(files=files), source=Source.UPLOAD)
    assert received.recording is not None
    taken = take_along(desk, received.recording.id, FileKind.ORIGINAL)
    with zipfile.ZipFile(BytesIO(taken.content)) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == {
            file.name: file.content for file in files
        }


@pytest.mark.parametrize("kind", list(FileKind))
def test_who_took_what_is_in_the_trail(desk: Desk, recording_id: int, kind: FileKind) -> None:
    first = take_along(desk, recording_id, kind)
    (entry,) = list_trail(desk, count=1)
    assert (entry.who, entry.what, entry.subject_id) == ("Robin", "exported", str(recording_id))
    assert (entry.detail["format"], entry.detail["file"]) == (kind.value, first.file_name)
    assert take_along(desk, recording_id, kind).content == first.content, "the same bytes again"


def test_what_cannot_be_written_is_said_and_not_noted(desk: Desk, drop: Drop) -> None:
    received = drop(start=None)
    assert received.recording is not None
    with pytest.raises(InvalidInput, match="does not state when it began"):
        take_along(desk, received.recording.id, FileKind.DICOM)
    assert list_trail(desk, count=1)[0].what != "exported"
    with pytest.raises(NotFound):
        take_along(desk, 77, FileKind.CSV)
