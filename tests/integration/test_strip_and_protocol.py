"""`couchside strip` and `couchside check --protocol` as a person types them."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from couchside.cli import main
from couchside.formats import write_wfdb
from couchside.simulate import HeartState, get_scenario, simulate


@pytest.fixture(scope="module")
def minute(tmp_path_factory: pytest.TempPathFactory) -> Path:
    scenario = replace(
        get_scenario("good"),
        duration_s=80.0,
        state=HeartState(premature_ventricular_share=0.1),
    )
    folder = tmp_path_factory.mktemp("minute")
    for file in write_wfdb(simulate(scenario).recording, "minute").files:
        (folder / file.name).write_bytes(file.content)
    return folder / "minute.hea"


def _run(*arguments: str | Path) -> int:
    return main([str(argument) for argument in arguments])


def test_strip_of_three_leads_fills_its_pages(minute: Path, tmp_path: Path) -> None:
    out = tmp_path / "strip.pdf"

    code = _run(
        "strip", minute, "--leads", "ii,V1,v5", "--from", "00:10", "--seconds", "60", "--pdf", out
    )

    assert code == 0
    pages = [page.extract_text() for page in PdfReader(BytesIO(out.read_bytes())).pages]
    assert len(pages) == 3
    assert all(f"page {number} of 3" in text for number, text in enumerate(pages, start=1))
    assert "II, V1, V5, 0:10 to 1:10" in pages[0]
    assert "beats that stand out" in pages[0]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--leads", "V7"], "there is no lead V7"),
        (["--leads", "I,II,III,V1"], "one to three"),
        (["--from", "2:00"], "would begin at 120 s"),
        (["--from", "soon"], "'soon' is no time"),
        (["--speed", "10"], "a speed of 10.0 mm/s is not drawn"),
    ],
)
def test_what_cannot_be_drawn_gets_one_sentence(
    arguments: list[str],
    told: str,
    minute: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "strip.pdf"

    assert _run("strip", minute, *arguments, "--pdf", out) == 2
    err = capsys.readouterr().err
    assert told in err
    assert err.count("\n") == 1
    assert not out.exists()


def test_unreadable_file_ends_with_its_own_code(tmp_path: Path) -> None:
    assert _run("strip", tmp_path / "none.hea", "--pdf", tmp_path / "strip.pdf") == 3


def test_example_protocol_can_be_used_as_it_is_printed(
    minute: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run("protocol") == 0
    text = capsys.readouterr().out.replace("at_most = 35", "at_most = 200")
    protocol = tmp_path / "ours.toml"
    protocol.write_text(text, encoding="utf-8")

    _run("check", minute, "--protocol", protocol, "--pdf", tmp_path / "page.pdf")

    out = capsys.readouterr().out
    assert out.splitlines()[1].startswith("! Show to a clinician now: heart rate ")
    assert "values are examples" in out
    page = PdfReader(BytesIO((tmp_path / "page.pdf").read_bytes())).pages[0].extract_text()
    assert "Show to a clinician now" in page
    assert "example values" in page

    _run("check", "--json", minute, "--protocol", protocol)
    told = json.loads(capsys.readouterr().out)["tell_now"]
    assert told["is_example"]
    assert told["items"][0]["measure"] == "heart_rate"


def test_broken_protocol_is_refused_before_anything_is_read(
    minute: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    protocol = tmp_path / "ours.toml"
    protocol.write_text('title = "Ours"\n[[rule]]\nmeasure = "pulse"\n', encoding="utf-8")

    assert _run("check", minute, "--protocol", protocol) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "ours.toml, line 3: measure is 'pulse'" in captured.err


def test_without_a_protocol_nothing_is_told(
    minute: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _run("check", "--json", minute)

    assert json.loads(capsys.readouterr().out)["tell_now"] is None
