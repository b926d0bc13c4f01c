"""What Couchside writes as DICOM, before two independent programs.

dciodvfy (dicom3tools) checks an object against the definition of its kind; dcmdump (DCMTK) parses
it. Both are Debian packages: dicom3tools, dcmtk.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from couchside.formats import write_dicom
from couchside.recording import (
    Circumstances,
    Electrode,
    Patient,
    Placement,
    Position,
    Recording,
    add_circumstances,
)
from couchside.simulate import get_scenario, simulate

HARMLESS = "Missing attribute or value that would be needed to build DICOMDIR"
"""An identifier that the recording does not state is not made up."""


@pytest.fixture(scope="module")
def simulated() -> Recording:
    recording = simulate(get_scenario("good")).recording
    return replace(recording, device=replace(recording.device, station_name="Room 2"))


def variants(recording: Recording) -> dict[str, Recording]:
    few = recording.microvolts[:2]
    with_gap = recording.microvolts.copy()
    with_gap[4, 100:300] = np.nan
    return {
        "twelve leads": recording,
        "a gap": replace(recording, microvolts=with_gap),
        "two leads": replace(recording, leads=("II", "odd"), microvolts=few),
        "100 Hz": replace(recording, rate_hz=100.0),
        "long": replace(recording, microvolts=np.tile(recording.microvolts, (1, 4))),
        "nobody": replace(recording, patient=Patient(), placement=Placement.NOT_STATED),
        "torso": replace(recording, placement=Placement.TORSO),
        "many scripts": replace(
            recording,
            patient=Patient(identifier="W-1", family_name="Ōe 山田", given_name="Zoë"),
            remarks=("Łódź",),
        ),
    }


VARIANTS = (
    "twelve leads",
    "a gap",
    "two leads",
    "100 Hz",
    "long",
    "nobody",
    "torso",
    "many scripts",
)


@pytest.mark.parametrize("name", VARIANTS)
def test_dciodvfy_finds_no_fault(simulated: Recording, name: str, tmp_path: Path) -> None:
    check(tmp_path, write_dicom(variants(simulated)[name]))


def check(folder: Path, content: bytes) -> None:
    program = find_program("dciodvfy")
    path = folder / "written.dcm"
    path.write_bytes(content)
    done = subprocess.run([program, "-new", path], capture_output=True, text=True, check=False)
    lines = (done.stdout + done.stderr).splitlines()
    faults = [line for line in lines if line.startswith(("Error", "Warning"))]
    assert [line for line in faults if HARMLESS not in line] == []
    assert any(line.endswith("ECG") for line in lines)
    assert done.returncode == 0


def test_dciodvfy_finds_no_fault_where_it_is_said_how_it_was_taken(
    simulated: Recording, tmp_path: Path
) -> None:
    words = Circumstances(
        placement=Placement.TORSO,
        electrodes={Electrode.C4: "beside the plaster"},
        position=Position.SUPINE,
        symptoms="palpitations",
        remark="x" * 2000,
    )
    check(tmp_path, write_dicom(add_circumstances(simulated, words), position=words.position))


@pytest.mark.parametrize("name", VARIANTS)
def test_dcmdump_parses_it(simulated: Recording, name: str, tmp_path: Path) -> None:
    program = find_program("dcmdump")
    path = tmp_path / "written.dcm"
    recording = variants(simulated)[name]
    path.write_bytes(write_dicom(recording))
    done = subprocess.run([program, path], capture_output=True, text=True, check=True)
    assert f"US {len(recording.leads)} " in done.stdout
    assert f"UL {recording.sample_count} " in done.stdout
    assert recording.patient.family_name in done.stdout


def test_all_variants_are_tested(simulated: Recording) -> None:
    assert set(VARIANTS) == set(variants(simulated))


def find_program(name: str) -> str:
    program = shutil.which(name)
    if program is None:
        pytest.skip(f"{name} is not installed; `make peers` installs it")
    return program
