from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from couchside.cli.shell import main
from couchside.formats import read, write_csv
from couchside.recording import Electrode, Recording
from couchside.simulate import Fault, FaultKind, get_scenario, scenario_to_toml, simulate


@pytest.mark.parametrize("ending", [".hea", ".dcm", ".csv"])
def test_a_scenario_is_written_and_read_back(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / f"loose{ending}"
    assert main(["simulate", "loose-left-arm", "--out", str(out)]) == 0
    assert str(out) in capsys.readouterr().out
    expected = simulate(get_scenario("loose-left-arm")).recording.microvolts
    np.testing.assert_allclose(read(out).microvolts, expected, atol=1e-6)
    truth = json.loads((tmp_path / "loose.truth.json").read_text(encoding="utf-8"))
    assert {fault["electrode"] for fault in truth["faults"]} == {"LA"}
    assert len(truth["beats"]) == len(truth["overall"]["qrs_onset"])


def test_a_scenario_of_ones_own_is_read_from_toml(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(scenario_to_toml(get_scenario("mains-on-v3")), encoding="utf-8")
    assert main(["simulate", str(path), "--out", str(tmp_path / "a.dcm")]) == 0
    assert main(["simulate", "mains-on-v3", "--out", str(tmp_path / "b.dcm")]) == 0
    assert (tmp_path / "a.dcm").read_bytes() == (tmp_path / "b.dcm").read_bytes()


def test_another_seed_is_another_day(tmp_path: Path) -> None:
    for seed in ("1", "2"):
        main(["simulate", "good", "--seed", seed, "--out", str(tmp_path / f"{seed}.dcm")])
    assert (tmp_path / "1.dcm").read_bytes() != (tmp_path / "2.dcm").read_bytes()


def test_the_library_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["simulate", "--list"]) == 0
    assert "arm-cables-exchanged" in capsys.readouterr().out


def test_recorded_noise_is_taken_from_a_file(tmp_path: Path) -> None:
    fault = Fault(kind=FaultKind.RECORDED, electrode=Electrode.C4, noise_name="motion", snr_db=0.0)
    path = tmp_path / "noisy.toml"
    path.write_text(scenario_to_toml(replace(get_scenario("good"), faults=(fault,))), "utf-8")
    noise = tmp_path / "noise.csv"
    wave = 1000.0 * np.sin(np.linspace(0.0, 300.0, 12_000))
    recorded = Recording(leads=("II", "V1"), microvolts=np.stack([wave, wave]), rate_hz=500.0)
    noise.write_bytes(write_csv(recorded))
    out = tmp_path / "noisy.dcm"
    assert main(["simulate", str(path), "--noise", f"motion={noise}", "--out", str(out)]) == 0
    quiet = simulate(get_scenario("good")).recording
    added = read(out).get_lead("V4") - quiet.get_lead("V4")
    assert added.std() == pytest.approx(quiet.get_lead("V4").std(), rel=0.1)
    np.testing.assert_allclose(read(out).get_lead("V5"), quiet.get_lead("V5"), atol=1e-6)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["good", "--out", "x.dcm", "--noise", "motion"], "give a name and a file"),
        (["nowhere"], "there is no scenario"),
        (["good"], "say with --out"),
        (["good", "--out", "x.pdf"], "should end in"),
        (["none.toml", "--out", "x.dcm"], "could not be read"),
    ],
)
def test_what_cannot_be_made_is_told_in_one_sentence(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["simulate", *arguments]) == 2
    complaint = capsys.readouterr().err
    assert sentence in complaint
    assert complaint.count("\n") == 1
