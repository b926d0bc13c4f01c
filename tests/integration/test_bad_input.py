"""Bad input at the command line: one clear sentence, an exit code that tells, no traceback.

All files go through one real process; each then goes through a command line of its own in this
process, for its exit code.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from numpy.typing import NDArray
from pydicom import dcmread
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.uid import CTImageStorage, ExplicitVRLittleEndian

from couchside.cli import main
from couchside.formats.dicom_write import write_dicom
from couchside.recording import Device, Recording
from couchside.simulate import get_scenario, simulate

SCHEMA_FILE = Path(__file__).parents[2] / "docs" / "schema" / "check.schema.json"
COMMAND = [sys.executable, "-m", "couchside"]
NOBODY = 65534

Steps = NDArray[np.int16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unusable:
    """What cannot be read: the file, and words that its sentence must hold."""

    name: str
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Poor:
    """What can be read but is poor: the verdict, and the finding that says why."""

    name: str
    verdict: str
    kind: str


UNUSABLE = (
    Unusable(name="empty.dcm", told=("empty",)),
    Unusable(name="truncated.dcm", told=("truncated.dcm",)),
    Unusable(name="truncated.hea", told=("truncated.dat", "promise")),
    Unusable(name="picture.dcm", told=("PNG",)),
    Unusable(name="letter.txt", told=("no format", "DICOM", "WFDB", "CSV")),
    Unusable(name="noise.bin", told=("no format",)),
    Unusable(name="zero_gain.dcm", told=("0",)),
    Unusable(name="day_long.hea", told=("24 h", "one hour")),
    Unusable(name="twenty_leads.csv", told=("20 leads", "1 to 18")),
    Unusable(name="ct.dcm", told=("CT",)),
    Unusable(name="promises.hea", told=("promises.dat",)),
    Unusable(name="orphan.hea", told=("orphan.dat", "did not come along")),
    Unusable(name="bomb.dcm", told=("unpack",)),
    Unusable(name="missing.dcm", told=("no file",)),
    Unusable(name="no_rate.csv", told=("--rate",)),
    Unusable(name="word.csv", told=("line 5",)),
)
POOR = (
    Poor(name="misnamed.dcm", verdict="keep with remark", kind="identity incomplete"),
    Poor(name="one_lead.hea", verdict="record again", kind="leads missing"),
    Poor(name="gaps.csv", verdict="record again", kind="missing samples"),
    Poor(name="two_seconds.hea", verdict="record again", kind="too short"),
    Poor(name="slow.hea", verdict="record again", kind="sampling rate"),
    Poor(name="absurd.hea", verdict="record again", kind="amplitude"),
    Poor(name="all_flat.hea", verdict="record again", kind="lost contact"),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bad")
    recording = simulate(get_scenario("good")).recording
    samples = np.round(recording.microvolts).astype(np.int16)
    write_unusable_dicom(folder, recording)
    write_unusable(folder, samples)
    write_poor(folder, samples)
    return folder


@pytest.fixture(scope="module")
def collection(folder: Path) -> dict[str, Any]:
    """What one real process says of all of them at once."""
    names = [each.name for each in (*UNUSABLE, *POOR)]
    ended = subprocess.run(
        [*COMMAND, "check", "--json", *(str(folder / name) for name in names)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONWARNINGS": "error::RuntimeWarning"},
    )
    assert (ended.returncode, ended.stderr) == (3, "")
    said: dict[str, Any] = json.loads(ended.stdout)
    return said


def test_the_answer_follows_the_schema(collection: dict[str, Any]) -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(collection)
    assert len(collection["unreadable"]) == len(UNUSABLE)
    assert len(collection["recordings"]) == len(POOR)


@pytest.mark.parametrize("bad", UNUSABLE, ids=lambda bad: bad.name)
def test_the_unusable_gets_one_clear_sentence(
    folder: Path, collection: dict[str, Any], bad: Unusable
) -> None:
    (sentence,) = (
        each["sentence"]
        for each in collection["unreadable"]
        if each["file"]["path"] == str(folder / bad.name)
    )
    for words in bad.told:
        assert words in sentence
    assert "\n" not in sentence
    assert 20 < len(sentence) < 300
    assert str(folder) not in sentence
    assert not {"Traceback", "Error(", "object at 0x"} & set(sentence.split())


@pytest.mark.parametrize("bad", UNUSABLE, ids=lambda bad: bad.name)
def test_the_unusable_ends_with_code_3_and_says_so_on_stderr(
    folder: Path, bad: Unusable, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(folder / bad.name)]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("couchside: ")
    assert err.count("\n") == 1


@pytest.mark.parametrize("bad", POOR, ids=lambda bad: bad.name)
def test_the_poor_gets_a_verdict_with_its_reason(
    folder: Path, collection: dict[str, Any], bad: Poor
) -> None:
    (document,) = (
        each for each in collection["recordings"] if each["file"]["path"] == str(folder / bad.name)
    )
    assert document["verdict"] == bad.verdict
    assert bad.kind in {finding["kind"] for finding in document["findings"]}


@pytest.mark.parametrize("bad", POOR, ids=lambda bad: bad.name)
def test_the_poor_ends_by_its_verdict(
    folder: Path, bad: Poor, capsys: pytest.CaptureFixture[str]
) -> None:
    code = main(["check", str(folder / bad.name)])
    out, err = capsys.readouterr()
    assert code == (1 if bad.verdict == "record again" else 0)
    assert out.splitlines()[0].endswith(bad.verdict.upper())
    assert err == ""


def test_an_empty_folder_holds_no_recording(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(tmp_path)]) == 3
    assert "no recording was found" in capsys.readouterr().err


def test_a_folder_cannot_be_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["print", str(tmp_path), "--out", str(tmp_path / "page.pdf")]) == 3
    assert "is a folder" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["a" * 300, "", "/dev/zero", "pipe"])
def test_what_is_no_plain_file_gets_a_sentence(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(tmp_path / "pipe")
    monkeypatch.chdir(tmp_path)
    assert main(["check", name]) == 3
    out, err = capsys.readouterr()
    assert "failed" not in out + err
    assert err.startswith("couchside: ")


AS_NOBODY = f"""
import contextlib, io, os, sys
from couchside.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    for path in (sys.argv[1], os.path.dirname(sys.argv[1])):
        main(["check", path])  # brings in, as root, all that nobody may not import
if os.getuid() == 0:
    os.setuid({NOBODY})
raise SystemExit(main(["check", *sys.argv[2:]]))
"""


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user may look into; pytest's own are closed to others."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def test_what_may_not_be_read_gets_a_sentence(folder: Path, open_folder: Path) -> None:
    locked, closed = open_folder / "locked.csv", open_folder / "closed"
    locked.write_bytes((folder / "gaps.csv").read_bytes())
    locked.chmod(0)
    closed.mkdir()
    (closed / "inside.csv").write_bytes(locked.read_bytes())
    closed.chmod(0)
    one, inside, whole = (
        subprocess.run(
            [sys.executable, "-c", AS_NOBODY, folder / "gaps.csv", path],
            capture_output=True,
            text=True,
            check=False,
        )
        for path in (locked, closed / "inside.csv", open_folder)
    )
    closed.chmod(0o700)
    assert (one.returncode, one.stdout) == (3, "")
    assert one.stderr.startswith("couchside: locked.csv may not be read by this user")
    assert one.stderr.count("\n") == 1
    assert inside.returncode == 3
    assert inside.stderr.startswith("couchside: inside.csv may not be read by this user")
    assert (whole.returncode, whole.stderr) == (3, "")
    assert "locked.csv may not be read" in whole.stdout
    assert "closed may not be opened" in whole.stdout


def write_unusable_dicom(folder: Path, recording: Recording) -> None:
    (folder / "empty.dcm").write_bytes(b"")
    (folder / "truncated.dcm").write_bytes(make_dicom_ecg(recording)[:-20_000])
    (folder / "zero_gain.dcm").write_bytes(make_dicom_ecg(recording, sensitivity_uv=0.0))
    (folder / "ct.dcm").write_bytes(make_ct())
    (folder / "picture.dcm").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    with zipfile.ZipFile(folder / "bomb.dcm", "w", zipfile.ZIP_DEFLATED) as bomb:
        bomb.writestr("recording.dat", bytes(100_000_000))


def write_unusable(folder: Path, samples: Steps) -> None:
    write_wfdb(folder / "truncated.hea", samples)
    cut = (folder / "truncated.dat").read_bytes()[:-5000]
    (folder / "truncated.dat").write_bytes(cut)
    (folder / "letter.txt").write_text("Dear colleague,\n\nthank you for the referral.\n")
    (folder / "noise.bin").write_bytes(np.random.default_rng(7).bytes(5000))
    write_wfdb(folder / "day_long.hea", samples, promised_samples=24 * 3600 * 500)
    with (folder / "day_long.dat").open("r+b") as file:
        file.truncate(250_000_000)
    write_csv(folder / "twenty_leads.csv", np.resize(samples, (20, samples.shape[1])))
    write_wfdb(folder / "promises.hea", samples, promised_samples=samples.shape[1] + 1)
    write_wfdb(folder / "orphan.hea", samples)
    (folder / "orphan.dat").unlink()
    write_csv(folder / "no_rate.csv", samples, rate_line="# remark: somebody forgot it")
    (folder / "word.csv").write_text(
        "# rate_hz: 500\n# unit: uV\nI,II\n1,2\n3,four\n5,6\n", encoding="utf-8"
    )


def write_poor(folder: Path, samples: Steps) -> None:
    write_csv(folder / "misnamed.csv", samples)
    (folder / "misnamed.csv").rename(folder / "misnamed.dcm")
    write_wfdb(folder / "one_lead.hea", samples[1:2])
    gaps = samples.astype(np.float64)
    gaps[:, 1000:4500] = np.nan
    write_csv(folder / "gaps.csv", gaps)
    write_wfdb(folder / "two_seconds.hea", samples[:, :1000])
    write_wfdb(folder / "slow.hea", samples[:, ::5], rate_hz=100)
    write_wfdb(folder / "absurd.hea", samples, gain_per_mv=10)
    write_wfdb(folder / "all_flat.hea", np.zeros_like(samples))


def write_wfdb(
    header: Path,
    samples: Steps,
    *,
    rate_hz: float = 500,
    gain_per_mv: float = 1000,
    promised_samples: int | None = None,
) -> None:
    """A record in format 16; the first samples' leads are the standard ones."""
    data = header.with_suffix(".dat")
    data.write_bytes(samples.astype("<i2").T.tobytes())
    count = promised_samples or samples.shape[1]
    lines = [f"{header.stem} {len(samples)} {rate_hz} {count}"]
    lines += [
        f"{data.name} 16 {gain_per_mv}(0)/mV 16 0 {row[0]} {row.sum(dtype=np.int16)} 0 {name}"
        for name, row in zip(names(samples), samples, strict=True)
    ]
    header.write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_csv(path: Path, samples: NDArray[Any], *, rate_line: str = "# rate_hz: 500") -> None:
    head = [rate_line, "# unit: uV", ",".join(names(samples))]
    rows = [",".join("" if np.isnan(value) else f"{value:g}" for value in row) for row in samples.T]
    path.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")


def names(samples: NDArray[Any]) -> list[str]:
    standard = ["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"]
    return (standard + [f"V{number}x" for number in range(20)])[: len(samples)]


def make_dicom_ecg(recording: Recording, *, sensitivity_uv: float | None = None) -> bytes:
    dataset = dcmread(BytesIO(write_dicom(replace(recording, device=Device()))))
    if sensitivity_uv is not None:
        for channel in dataset.WaveformSequence[0].ChannelDefinitionSequence:
            channel.ChannelSensitivity = sensitivity_uv
    return encode(dataset)


def make_ct() -> bytes:
    """A DICOM image, as a scanner would send it, without its pixels."""
    dataset = Dataset()
    dataset.file_meta = FileMetaDataset()
    dataset.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    dataset.SOPClassUID = CTImageStorage
    dataset.SOPInstanceUID = "2.25.20260302"
    dataset.Modality = "CT"
    dataset.PatientID = "Q-1"
    return encode(dataset)


def encode(dataset: Dataset) -> bytes:
    buffer = BytesIO()
    dataset.save_as(buffer, enforce_file_format=True)
    return buffer.getvalue()
