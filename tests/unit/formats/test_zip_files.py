"""Zip files: one recording's files are read from them, and a bomb is not inflated."""

from __future__ import annotations

import struct
import zipfile
import zlib
from io import BytesIO

import numpy as np
import pytest

from couchside.errors import CorruptFile, FormatError, UnsupportedFeature
from couchside.formats import ArrivedFile, Parcel, gather_parcel, read_parcel, write_csv, write_wfdb
from couchside.formats.limits import MAX_FILE_BYTES
from couchside.formats.zipped import MAX_MEMBERS, unpack_zip
from couchside.recording import Recording


def zip_of(*files: tuple[str, bytes], compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", compression) as archive:
        for name, content in files:
            archive.writestr(name, content)
    return buffer.getvalue()


def arrived(content: bytes, name: str = "upload.zip") -> ArrivedFile:
    return ArrivedFile(name=name, content=content)


def read_zip(content: bytes, name: str = "upload.zip") -> Recording:
    return read_parcel(Parcel(files=(arrived(content, name),)))


def test_a_record_in_a_zip(full_recording: Recording) -> None:
    header, signals = write_wfdb(full_recording, "rec").files
    recording = read_zip(
        zip_of(
            ("patient/rec.dat", signals.content),
            ("patient/rec.hea", header.content),
            ("patient/rec.atr", b"\x00\x00"),
            ("__MACOSX/patient/._rec.hea", b"\x00"),
            ("patient/.DS_Store", b"\x00"),
        ),
        name="wrong.csv",
    )
    np.testing.assert_allclose(recording.microvolts, full_recording.microvolts, atol=0.5)
    assert recording.origin is not None
    assert recording.origin.file_name == "rec.hea"


def test_the_same_recording_is_the_same_in_and_out_of_a_zip(
    full_recording: Recording, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("zipped")
    content = write_csv(full_recording)
    (folder / "t.csv").write_bytes(content)
    (folder / "t.zip").write_bytes(zip_of(("t.csv", content)))
    assert gather_parcel(folder / "t.csv").sha256 == gather_parcel(folder / "t.zip").sha256


def test_several_recordings_in_a_zip(full_recording: Recording) -> None:
    content = write_csv(full_recording)
    with pytest.raises(CorruptFile, match=r"brings 2 recordings \(a\.csv, b\.csv\)"):
        read_zip(zip_of(("a.csv", content), ("b.csv", content)))


def test_a_bomb_is_not_inflated(monkeypatch: pytest.MonkeyPatch) -> None:
    """A thousandfold: 100 MB of zeros, refused although it is below the limit of size."""
    bomb = zip_of(("zeros.dcm", b"\x00" * 100_000_000))
    forbid_inflating(monkeypatch)
    with pytest.raises(UnsupportedFeature, match=r"^bomb\.dcm would unpack to \d+ times its size"):
        read_zip(bomb, name="bomb.dcm")


def test_a_zip_too_large_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    """The directory says how large; here it says more than the file holds."""
    content = bytearray(zip_of(("big.csv", b"I_uV\n1\n"), compression=zipfile.ZIP_STORED))
    directory = content.index(b"PK\x01\x02")
    content[directory + 24 : directory + 28] = struct.pack("<I", MAX_FILE_BYTES + 1)
    forbid_inflating(monkeypatch)
    with pytest.raises(UnsupportedFeature, match="would unpack to 256 MB, and up to 256 MB"):
        read_zip(bytes(content))


def test_a_zip_that_lies_about_its_size_is_inflated_no_further() -> None:
    content = bytearray(zip_of(("big.csv", b"\x00" * 10_000_000)))
    directory = content.index(b"PK\x01\x02")
    content[directory + 24 : directory + 28] = struct.pack("<I", 100)
    with pytest.raises(CorruptFile, match="cannot be unpacked"):
        unpack_zip(arrived(bytes(content)))


def test_too_many_members() -> None:
    many = zip_of(*((f"{number}.txt", b"") for number in range(MAX_MEMBERS + 1)))
    with pytest.raises(UnsupportedFeature, match="holds 101 files, and up to 100"):
        unpack_zip(arrived(many))


def test_a_zip_in_a_zip_is_not_followed() -> None:
    with pytest.raises(FormatError, match=r"^inner\.zip is .*zip"):
        read_zip(zip_of(("inner.zip", zip_of(("t.csv", b"I_uV\n1\n")))))


def test_a_locked_zip() -> None:
    content = bytearray(zip_of(("t.csv", b"I_uV\n1\n")))
    content[content.index(b"PK\x01\x02") + 8] |= 1
    with pytest.raises(UnsupportedFeature, match="locked with a password"):
        unpack_zip(arrived(bytes(content)))


def test_an_unusual_compression() -> None:
    content = zip_of(("t.csv", b"I_uV\n1\n"), compression=zipfile.ZIP_LZMA)
    with pytest.raises(UnsupportedFeature, match="packed in an unusual way"):
        unpack_zip(arrived(content))


def test_two_files_of_one_name() -> None:
    with pytest.raises(CorruptFile, match=r"two files named t\.csv"):
        unpack_zip(arrived(zip_of(("a/t.csv", b"1"), ("b/t.csv", b"2"))))


def test_an_empty_zip() -> None:
    with pytest.raises(CorruptFile, match="empty zip file"):
        unpack_zip(arrived(zip_of()))


def test_a_damaged_zip_gives_a_sentence(full_recording: Recording) -> None:
    content = zip_of(("t.csv", write_csv(full_recording)))
    for cut in [*range(4, len(content), len(content) // 50), len(content) - 1]:
        with pytest.raises(CorruptFile, match=r"^upload\.zip begins as a zip file"):
            unpack_zip(arrived(content[:cut]))
    garbled = content[:200] + b"\xff" * 50 + content[250:]
    with pytest.raises(CorruptFile, match="cannot be unpacked"):
        unpack_zip(arrived(garbled))


def forbid_inflating(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        pytest.fail("it was inflated")

    monkeypatch.setattr(zlib, "decompressobj", refuse)
    monkeypatch.setattr(zipfile.ZipFile, "open", refuse)
