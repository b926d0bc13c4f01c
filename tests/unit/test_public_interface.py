"""The four calls that stay stable: read, delineate, check, render."""

from __future__ import annotations

import inspect
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import couchside
from couchside.formats.dicom_write import write_dicom
from couchside.recording import Device
from couchside.simulate import get_scenario, simulate


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("public") / "recording.dcm"
    recording = replace(simulate(get_scenario("good")).recording, device=Device())
    path.write_bytes(write_dicom(recording))
    return path


@pytest.mark.parametrize(
    ("call", "expected"),
    [
        ("read", ["path"]),
        ("delineate", ["recording"]),
        ("check", ["recording"]),
        ("render", ["recording", "assessment", "layout", "paper"]),
    ],
)
def test_each_call_takes_what_it_has_always_taken(call: str, expected: list[str]) -> None:
    parameters = inspect.signature(getattr(couchside, call)).parameters
    assert list(parameters)[: len(expected)] == expected
    needed = [name for name, each in parameters.items() if each.default is inspect.Parameter.empty]
    assert set(needed) <= {"path", "recording"}


def test_the_defaults_of_a_page_are_the_usual_ones() -> None:
    parameters = inspect.signature(couchside.render).parameters
    assert (parameters["layout"].default, parameters["paper"].default) == ("3x4+1", "A4")


def test_the_example_runs_as_it_is_written(path: Path) -> None:
    recording = couchside.read(path)
    waves = couchside.delineate(recording)
    assessment = couchside.check(recording)
    page = couchside.render(recording, assessment, layout="3x4+1", paper="A4")
    assert isinstance(recording, couchside.Recording)
    assert isinstance(assessment, couchside.Assessment)
    assert waves.qrs.onset.shape == (12, waves.beat_count)
    assert page.pdf().startswith(b"%PDF-")
    assert b"<svg" in page.svg()


def test_the_docstring_example_runs(path: Path) -> None:
    lines = [
        line.removeprefix(">>> ").partition("#")[0]
        for line in (couchside.__doc__ or "").splitlines()
        if line.startswith(">>> ")
    ]
    assert len(lines) == 5
    names: dict[str, object] = {"path": path}
    exec("\n".join(lines), names)  # noqa: S102 - the module's own example
    assert isinstance(names["assessment"], couchside.Assessment)


def test_a_path_may_be_text(path: Path) -> None:
    assert couchside.read(str(path)).leads == couchside.read(path).leads


def test_signals_are_microvolts_by_lead_and_absent_waves_are_nan(path: Path) -> None:
    recording = couchside.read(path)
    assert recording.microvolts.shape == (len(recording.leads), recording.sample_count)
    assert 300.0 < np.ptp(recording.get_lead("II")) < 5000.0
    waves = couchside.delineate(recording)
    assert waves.p.onset.dtype == np.float64


def test_what_is_returned_cannot_be_changed(path: Path) -> None:
    recording = couchside.read(path)
    waves = couchside.delineate(recording)
    for array in (recording.microvolts, waves.qrs.onset, waves.beat_samples):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


@pytest.mark.parametrize("content", [None, b"", b"nothing of the kind", b"PK\x03\x04", b"I,II\n"])
def test_every_error_of_reading_is_a_couchside_error(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "bad.dcm"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(couchside.CouchsideError) as caught:
        couchside.read(path)
    assert "bad.dcm" in str(caught.value)


def test_every_public_name_is_there_and_no_other() -> None:
    for name in couchside.__all__:
        assert getattr(couchside, name) is not None
    with pytest.raises(AttributeError, match="couchside has no measure_everything"):
        _ = couchside.measure_everything


def test_importing_couchside_brings_in_nothing_heavy() -> None:
    probe = "import sys, couchside; print([m for m in ('numpy', 'scipy') if m in sys.modules])"
    ended = subprocess.run(
        [sys.executable, "-c", probe], capture_output=True, text=True, check=True
    )
    assert ended.stdout == "[]\n"
