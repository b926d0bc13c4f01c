"""From a path to the files of one recording, and from many files to parcels."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from couchside.errors import CorruptFile, InvalidInput, UnknownFormat, UnsupportedFeature
from couchside.formats import (
    ArrivedFile,
    Parcel,
    gather_parcel,
    group_into_parcels,
    limits,
    parse_unit,
    read,
    read_parcel,
    write_csv,
    write_wfdb,
)
from couchside.formats.foreign import FOREIGN_KINDS
from couchside.formats.hints import ReadHints
from couchside.recording import Recording


@pytest.fixture
def record(full_recording: Recording, tmp_path: Path) -> Path:
    """Folder with a WFDB record, its annotations, and another patient's table."""
    for file in write_wfdb(full_recording, "rec").files:
        (tmp_path / file.name).write_bytes(file.content)
    (tmp_path / "rec.atr").write_bytes(b"\x00\x00")
    (tmp_path / "other.csv").write_bytes(write_csv(full_recording))
    return tmp_path


@pytest.mark.parametrize("name", ["rec.hea", "rec.dat", "rec"])
def test_a_record_by_its_header_its_signals_or_its_name(record: Path, name: str) -> None:
    parcel = gather_parcel(record / name)
    assert [file.name for file in parcel.files] == ["rec.hea", "rec.dat"]
    assert read(str(record / name)).origin is not None


def test_a_name_that_is_not_utf_8_on_the_disk_can_be_filed_and_sent(record: Path) -> None:
    odd = Path(os.fsdecode(os.fsencode(record / "rec") + b"\xe9.dat"))
    odd.write_bytes((record / "rec.dat").read_bytes())
    odd.with_suffix(".hea").write_bytes((record / "rec.hea").read_bytes())
    with pytest.raises(UnknownFormat, match=r"^rec\?\.dat is of no format"):
        read(odd)
    assert gather_parcel(odd.with_suffix(".hea")).main.name == "rec?.hea"


def test_a_file_that_the_header_beside_it_does_not_name(record: Path) -> None:
    with pytest.raises(UnknownFormat, match=r"^rec\.atr is of no format .* WFDB"):
        read(record / "rec.atr")


def test_a_header_without_its_signals(record: Path) -> None:
    (record / "rec.dat").unlink()
    with pytest.raises(CorruptFile, match=r"refers to rec\.dat, which did not come along"):
        read(record / "rec.hea")


def test_a_header_reaches_no_file_outside_its_folder(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "secret.dat").write_bytes(b"\x00" * 6)
    for name in ("../secret.dat", str(tmp_path / "secret.dat")):
        (inside / "r.hea").write_text(f"r 1 500 3\n{name} 16 1000\n")
        assert [file.name for file in gather_parcel(inside / "r.hea").files] == ["r.hea"]


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match=rf"^{tmp_path.name} is a folder"):
        read(tmp_path)


@pytest.mark.parametrize("name", ["gone.dcm", "\x00", "a/b.dcm"])
def test_a_missing_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(InvalidInput, match=r"^there is no file "):
        read(tmp_path / name)


def test_a_name_longer_than_names_are(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match="cannot be read"):
        read(tmp_path / ("a" * 5000))


def test_a_path_through_a_file(record: Path) -> None:
    with pytest.raises(InvalidInput, match=r"^there is no file x\.dcm"):
        read(record / "other.csv" / "x.dcm")


def test_no_permission(record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, *_: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InvalidInput, match=r"^other\.csv may not be read"):
        read(record / "other.csv")


def test_a_disk_that_fails(record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "open", fail)
    with pytest.raises(InvalidInput, match=r"^other\.csv cannot be read \(Input/output error\)"):
        read(record / "other.csv")


def test_no_plain_file() -> None:
    with pytest.raises(InvalidInput, match=r"^null is no plain file"):
        read("/dev/null")


def test_a_file_too_large(record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MAX_FILE_BYTES", 1000)
    with pytest.raises(UnsupportedFeature, match=r"^other\.csv has 0 MB, and files of up to 0 MB"):
        read(record / "other.csv")


def test_files_in_any_order(record: Path) -> None:
    header, signals = gather_parcel(record / "rec.hea").files
    recording = read_parcel(Parcel(files=(signals, header)))
    assert recording.origin is not None
    assert recording.origin.file_name == "rec.hea"


def test_many_files_become_parcels(full_recording: Recording) -> None:
    first = write_wfdb(full_recording, "a").files
    second = write_wfdb(full_recording, "b").files
    table = ArrivedFile(name="t.csv", content=write_csv(full_recording))
    stray = ArrivedFile(name="note.txt", content=b"hello")
    parcels = group_into_parcels((first[1], second[0], stray, table, first[0], second[1], table))
    names = [tuple(file.name for file in parcel.files) for parcel in parcels]
    assert names == [("b.hea", "b.dat"), ("t.csv",), ("a.hea", "a.dat"), ("note.txt",)]


def test_two_different_files_of_one_name() -> None:
    files = [ArrivedFile(name="a.csv", content=content) for content in (b"1", b"2")]
    with pytest.raises(InvalidInput, match=r"two different files are named a\.csv"):
        group_into_parcels(files)


def test_a_zip_that_cannot_be_unpacked_stays_a_parcel() -> None:
    broken = ArrivedFile(name="z.zip", content=b"PK\x03\x04 and no more")
    assert group_into_parcels([broken]) == (Parcel(files=(broken,)),)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b'<?xml version="1.0"?>\n<AnnotatedECG xmlns="urn:hl7-org:v3">', "an HL7 aECG document"),
        (b"0       " + b" " * 248, "an EDF record"),
        (b"MSH|^~\\&|", "an HL7 version 2 message"),
        (b"\x00\x00\x1e\x00\x00\x00\x00\x00\x00\x00" + b"\x00" * 20, "an SCP-ECG record"),
    ],
)
def test_an_ecg_format_that_is_not_read_yet(content: bytes, told: str) -> None:
    with pytest.raises(
        UnsupportedFeature,
        match=f"^x is {told}, which is not read yet; export the recording as DICOM, WFDB or CSV",
    ):
        read_parcel(Parcel(files=(ArrivedFile(name="x", content=content),)))


@pytest.mark.parametrize("content", [b"%PDF-1.7\n", b"\x89PNG\r\n\x1a\n", b"\x1f\x8b\x08"])
def test_what_is_no_ecg_is_named(content: bytes) -> None:
    kind = next(kind for kind in FOREIGN_KINDS if kind.sniff(content))
    with pytest.raises(UnknownFormat, match=f"^x is {kind.title}, not an ECG"):
        read_parcel(Parcel(files=(ArrivedFile(name="x", content=content),)))


@pytest.mark.parametrize(
    ("text", "microvolts"), [("mV", 1000), ("µV", 1), ("uv", 1), ("V", 1e6), ("4,88", 4.88)]
)
def test_units(text: str, microvolts: float) -> None:
    assert parse_unit(text) == microvolts


@pytest.mark.parametrize("text", ["cm", "", "0", "-5", "nan", "inf"])
def test_units_that_cannot_be(text: str) -> None:
    with pytest.raises(InvalidInput, match="give uV, mV, V or nV"):
        parse_unit(text)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_hints_that_cannot_be(value: float) -> None:
    with pytest.raises(InvalidInput, match="--rate"):
        ReadHints(rate_hz=value)
    with pytest.raises(InvalidInput, match="--unit"):
        ReadHints(microvolts_per_unit=value)


def test_only_dicom_pays_for_pydicom(record: Path) -> None:
    script = (
        "import sys, couchside.formats as f; f.read(sys.argv[1]); "
        "sys.exit(any(name.startswith('pydicom') for name in sys.modules))"
    )
    for name in ("rec.hea", "other.csv"):
        done = subprocess.run([sys.executable, "-c", script, record / name], check=False)
        assert done.returncode == 0
