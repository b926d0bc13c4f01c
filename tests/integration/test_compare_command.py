"""`couchside compare`, as it is called."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from couchside.cli.commands import run
from couchside.cli.exits import ExitCode
from couchside.formats import write_dicom
from couchside.simulate import another_visit, random_scenario, simulate


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("pair")
    first = replace(random_scenario(3), start=datetime(2025, 5, 2, 9, 0, tzinfo=UTC))
    new, old = folder / "new.dcm", folder / "old.dcm"
    old.write_bytes(write_dicom(simulate(first).recording))
    new.write_bytes(write_dicom(simulate(another_visit(first, days=300.0)).recording))
    return new, old


def test_it_says_what_changed(pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["compare", *map(str, pair)]) == ExitCode.DONE
    told = capsys.readouterr().out
    assert "as much alike as two recordings of one person usually are" in told
    assert "2025-05-02" in told
    assert "QRS duration" in told
    assert "never diagnoses" in told


def test_json_is_one_object(pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["compare", *map(str, pair), "--json"]) == ExitCode.DONE
    document = json.loads(capsys.readouterr().out)
    assert document["document"] == "comparison"
    assert document["new"]["file"]["path"] == str(pair[0])


def test_it_draws(pair: tuple[Path, Path], tmp_path: Path) -> None:
    target = tmp_path / "out.pdf"
    assert run(["compare", *map(str, pair), "--pdf", str(target)]) == ExitCode.DONE
    assert target.read_bytes().startswith(b"%PDF")


def test_what_cannot_be_read_gets_a_sentence(
    pair: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lost = tmp_path / "lost.dcm"
    assert run(["compare", str(pair[0]), str(lost)]) == ExitCode.UNREADABLE
    said = capsys.readouterr()
    assert said.out == ""
    assert "lost.dcm" in said.err
