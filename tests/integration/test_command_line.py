"""The commands as a person types them, on simulated recordings."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from pypdf import PdfReader

from couchside import formats
from couchside.cli import main
from couchside.quality.policy import Policy
from couchside.recording import Electrode, Recording
from couchside.simulate import Fault, FaultKind, Scenario, get_scenario, simulate

SCHEMA_FILE = Path(__file__).parents[2] / "docs" / "schema" / "check.schema.json"
COMMAND = [sys.executable, "-m", "couchside"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """What a command line left behind."""

    code: int
    out: str
    err: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """Runs command lines in this process."""

    capture: pytest.CaptureFixture[str]

    def run(self, *arguments: str | Path) -> Ended:
        self.capture.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = self.capture.readouterr()
        return Ended(code=code, out=out, err=err)


@pytest.fixture
def shell(capsys: pytest.CaptureFixture[str]) -> Shell:
    return Shell(capture=capsys)


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_csv("good", GOOD, tmp_path_factory.mktemp("good"))


@pytest.fixture(scope="module")
def off(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_csv("off", replace(GOOD, faults=(OFF,)), tmp_path_factory.mktemp("off"))


@pytest.fixture(scope="module")
def nameless(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_csv(
        "nameless", get_scenario("missing-birth-date"), tmp_path_factory.mktemp("nameless")
    )


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))


def test_a_good_recording_is_kept(shell: Shell, good: Path) -> None:
    ended = shell.run("check", good)
    assert (ended.code, ended.err) == (0, "")
    lines = ended.out.splitlines()
    assert "KEEP" in lines[0]
    assert "WITH" not in lines[0]
    assert "good.csv" in lines[1]
    assert "12 leads, 10 s at 500 Hz" in lines[2]
    assert re.search(r"^Heart rate +\d+ (±\d+ )? */min", ended.out, re.MULTILINE)
    assert "Not a medical device" in lines[-1]


def test_a_lost_electrode_is_named_with_what_to_do(shell: Shell, off: Path) -> None:
    ended = shell.run("check", off)
    assert ended.code == 1
    lines = ended.out.splitlines()
    assert "RECORD AGAIN" in lines[0]
    assert any(line.startswith("  → ") for line in lines)
    assert "left arm (L, yellow)" in ended.out


def test_cables_are_named_by_the_code_that_was_chosen(shell: Shell, off: Path) -> None:
    assert "left arm (LA, black)" in shell.run("check", "--colours", "aha", off).out


def test_a_remark_does_not_make_the_command_fail(shell: Shell, nameless: Path) -> None:
    ended = shell.run("check", nameless)
    assert ended.code == 0
    assert "KEEP WITH REMARK" in ended.out.splitlines()[0]


def test_output_that_is_no_terminal_is_plain(shell: Shell, off: Path) -> None:
    out = shell.run("check", off).out
    assert "\x1b" not in out
    assert all(line == line.rstrip() for line in out.splitlines())


def test_json_of_one_file_is_one_valid_object(
    shell: Shell, off: Path, validator: Draft202012Validator
) -> None:
    ended = shell.run("check", "--json", off)
    document = json.loads(ended.out)
    validator.validate(document)
    assert ended.code == 1
    assert document["document"] == "assessment"
    assert document["verdict"] == "record again"
    assert document["file"]["path"] == str(off)
    assert document["recording"]["start"].endswith("+00:00")
    assert "LA" in {name for finding in document["findings"] for name in finding["electrodes"]}


def test_several_files_get_a_line_each_and_a_sum(
    shell: Shell, good: Path, off: Path, nameless: Path
) -> None:
    ended = shell.run("check", good, off, nameless)
    assert ended.code == 1
    table, _, summary = ended.out.partition("\n\n")
    assert [re.split(r"  +", line)[0][2:] for line in table.splitlines()] == [
        "KEEP",
        "RECORD AGAIN",
        "KEEP WITH REMARK",
    ]
    assert summary.strip() == "3 files: 1 keep, 1 keep with remark, 1 record again."


def test_what_could_not_be_read_outweighs_what_should_be_recorded_again(
    shell: Shell, off: Path, tmp_path: Path, validator: Draft202012Validator
) -> None:
    broken = tmp_path / "broken.dcm"
    broken.write_bytes(b"")
    ended = shell.run("check", "--json", off, broken)
    collection = json.loads(ended.out)
    validator.validate(collection)
    assert ended.code == 3
    assert collection["verdict_counts"]["record again"] == 1
    assert [each["file"]["path"] for each in collection["unreadable"]] == [str(broken)]


def test_a_folder_is_searched_and_what_is_no_recording_is_counted(
    shell: Shell, good: Path, tmp_path: Path, validator: Draft202012Validator
) -> None:
    write_wfdb("good", GOOD, tmp_path / "deep" / "down")
    (tmp_path / "copy.csv").write_bytes(good.read_bytes())
    (tmp_path / "labels.csv").write_text("record,label\n1,acceptable\n")
    (tmp_path / "notes.txt").write_text("Nothing to see.\n")
    (tmp_path / "deep" / "good.atr").write_bytes(b"\x12\x00\x34\x04")
    (tmp_path / ".hidden.csv").write_bytes(good.read_bytes())
    ended = shell.run("check", tmp_path)
    assert ended.code == 0
    assert "copy.csv" in ended.out
    assert "good.hea" in ended.out
    assert "good.dat" not in ended.out
    assert "2 files: " in ended.out
    assert "3 files that are no recordings were passed over." in ended.out
    collection = json.loads(shell.run("check", "--json", tmp_path).out)
    validator.validate(collection)
    assert (len(collection["recordings"]), collection["passed_over_count"]) == (2, 3)


def test_a_file_of_a_folder_that_is_named_outright_gets_its_sentence(
    shell: Shell, tmp_path: Path
) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("Nothing to see.\n")
    ended = shell.run("check", notes)
    assert (ended.code, ended.out) == (3, "")
    assert ended.err.startswith("couchside: notes.txt ")


def test_files_in_a_folder_stand_in_the_order_of_their_numbers(
    shell: Shell, good: Path, tmp_path: Path
) -> None:
    for number in (10, 9, 1):
        (tmp_path / f"{number}.csv").write_bytes(good.read_bytes())
    out = shell.run("check", tmp_path).out
    assert re.findall(r"(\d+)\.csv", out) == ["1", "9", "10"]


def test_the_page_is_drawn_beside_the_answer(shell: Shell, good: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.pdf"
    ended = shell.run("check", good, "--pdf", page, "--paper", "Letter")
    assert ended.code == 0
    assert page.read_bytes().startswith(b"%PDF-")
    assert [each.name for each in tmp_path.iterdir()] == ["page.pdf"]


def test_the_evidence_goes_on_further_pages(shell: Shell, off: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.pdf"
    shell.run("check", off, "--pdf", page, "--evidence")
    words = [each.extract_text() for each in PdfReader(BytesIO(page.read_bytes())).pages]
    assert len(words) > 1
    assert "Evidence" in words[-1]
    refused = shell.run("check", off, "--evidence")
    assert refused.code == 2
    assert "--evidence adds pages to --pdf" in refused.err


def test_pages_of_several_files_go_into_a_folder(
    shell: Shell, good: Path, nameless: Path, tmp_path: Path
) -> None:
    twin = tmp_path / "good.csv"
    twin.write_bytes(good.read_bytes())
    pages = tmp_path / "pages"
    ended = shell.run("check", good, nameless, twin, "--pdf", pages)
    assert ended.code == 0
    assert sorted(each.name for each in pages.iterdir()) == [
        "good-2.pdf",
        "good.pdf",
        "nameless.pdf",
    ]


@pytest.mark.parametrize(
    ("target", "told"),
    [
        ("page.txt", "should end in .pdf"),
        ("nowhere/page.pdf", "there is no folder"),
        ("folder.pdf", "is a folder"),
    ],
)
def test_a_page_that_cannot_be_written_is_refused_before_any_work(
    shell: Shell, good: Path, tmp_path: Path, target: str, told: str
) -> None:
    (tmp_path / "folder.pdf").mkdir()
    ended = shell.run("check", good, "--pdf", tmp_path / target)
    assert (ended.code, ended.out) == (2, "")
    assert told in ended.err


def test_print_draws_pdf_and_svg(shell: Shell, good: Path, tmp_path: Path) -> None:
    pdf, svg = tmp_path / "page.pdf", tmp_path / "page.svg"
    drawn = Ended(code=0, out=f"Drawn to {pdf}.\n", err="")
    assert shell.run("print", good, "--out", pdf) == drawn
    options = ["--layout", "6x2", "--speed", "50", "--gain", "5", "--cabrera", "--paper", "letter"]
    assert shell.run("print", good, "-o", svg, *options).code == 0
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert "−aVR" in svg.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "option", [("--layout", "5x5"), ("--paper", "A0"), ("--speed", "26"), ("--gain", "0")]
)
def test_print_refuses_a_choice_that_there_is_not(
    shell: Shell, good: Path, tmp_path: Path, option: tuple[str, str]
) -> None:
    ended = shell.run("print", good, "--out", tmp_path / "page.pdf", *option)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_print_says_why_a_file_was_not_read(shell: Shell, tmp_path: Path) -> None:
    ended = shell.run("print", tmp_path / "missing.dcm", "--out", tmp_path / "page.pdf")
    assert ended.code == 3
    assert "missing.dcm" in ended.err


def test_rate_and_unit_help_a_file_that_states_neither(
    shell: Shell, good: Path, tmp_path: Path
) -> None:
    bare = tmp_path / "bare.csv"
    bare.write_text(re.sub(r"^# (rate_hz|unit):.*\n", "", good.read_text(), flags=re.MULTILINE))
    refused = shell.run("check", bare)
    assert refused.code == 3
    assert "--rate" in refused.err
    helped = shell.run("check", "--json", bare, "--rate", "500", "--unit", "uV")
    assert json.loads(helped.out)["verdict"] == "keep"


def test_a_rate_that_the_file_overrules_is_not_passed_over_in_silence(
    shell: Shell, good: Path
) -> None:
    ended = shell.run("check", good, "--rate", "250")
    assert ended.code == 0
    assert "12 leads, 10 s at 500 Hz" in ended.out
    assert ended.err == (
        "couchside: good.csv states 500 Hz itself, so that --rate 250 was not used\n"
    )


def test_a_colour_code_that_there_is_not_is_refused(shell: Shell, good: Path) -> None:
    ended = shell.run("check", good, "--colours", "rainbow")
    assert (ended.code, ended.out) == (2, "")
    assert "choose IEC or AHA" in ended.err


@pytest.mark.parametrize("option", [("--rate", "0"), ("--rate", "-5"), ("--unit", "furlongs")])
def test_a_rate_or_unit_that_cannot_be_is_refused(
    shell: Shell, good: Path, option: tuple[str, str]
) -> None:
    ended = shell.run("check", good, *option)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.startswith("couchside: ")


@pytest.mark.parametrize(
    "arguments", [("check",), ("chekc",), ("check", "--nope"), ("print", "a.dcm"), ()]
)
def test_wrong_usage_is_exit_code_2(shell: Shell, arguments: tuple[str, ...]) -> None:
    ended = shell.run(*arguments)
    assert ended.code == 2
    assert "Usage: couchside" in ended.err


def test_help_tells_the_exit_codes(shell: Shell) -> None:
    ended = shell.run("--help")
    assert ended.code == 0
    for code in (0, 1, 2, 3, 4, 130, 141):
        assert re.search(rf"^ +{code}  \w", ended.out, re.MULTILINE)


def test_an_inbox_that_is_not_there_is_refused(shell: Shell, tmp_path: Path) -> None:
    ended = shell.run("serve", "--data", tmp_path / "data", "--inbox", tmp_path / "missing")
    assert ended.code == 2
    assert "missing" in ended.err
    assert not (tmp_path / "data").exists()


def test_a_fault_of_couchside_ends_in_a_sentence_that_names_the_file(
    shell: Shell, good: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(recording: Recording, policy: Policy) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("couchside.cli.examine.check", stumble)
    ended = shell.run("check", good)
    assert (ended.code, ended.out) == (4, "")
    assert ended.err.count("\n") == 1
    assert "good.csv (ZeroDivisionError: division by zero)" in ended.err
    monkeypatch.setenv("COUCHSIDE_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", str(good)])


def test_ctrl_c_ends_in_a_word(shell: Shell, good: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(recording: Recording, policy: Policy) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("couchside.cli.examine.check", interrupt)
    assert shell.run("check", good) == Ended(code=130, out="", err="couchside: stopped\n")


def test_a_name_cannot_steer_the_terminal(shell: Shell, good: Path, tmp_path: Path) -> None:
    evil = tmp_path / "a\x1b[2Jb.csv"
    evil.write_bytes(good.read_bytes())
    for arguments in ((evil,), (evil, good)):
        out = shell.run("check", *arguments).out
        assert "\x1b" not in out
        assert "a�[2Jb.csv" in out


def test_the_installed_command_and_the_module_are_one() -> None:
    installed = Path(sys.executable).with_name("couchside")
    commands = [[str(installed)], COMMAND] if installed.exists() else [COMMAND]
    said = {
        subprocess.run([*command, ask], capture_output=True, text=True, check=True).stdout
        for command in commands
        for ask in ("version", "--version")
    }
    assert len(said) == 1
    assert re.fullmatch(r"Couchside \d+\.\d+\.\d+\n", said.pop())


def test_help_is_there_before_anything_heavy_is_imported() -> None:
    probe = (
        "import sys; from couchside.cli import main; main(['check', '--help']);"
        "print([m for m in ('scipy', 'pydicom', 'sqlalchemy', 'fastapi', 'reportlab') "
        "if m in sys.modules])"
    )
    ended = subprocess.run(
        [sys.executable, "-c", probe], capture_output=True, text=True, check=True
    )
    assert ended.stdout.splitlines()[-1] == "[]"


def test_a_reader_that_stops_reading_hears_no_complaint(good: Path) -> None:
    command = subprocess.Popen(
        [*COMMAND, "check", "--json", *[str(good)] * 3],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert command.stdout is not None
    assert command.stderr is not None
    command.stdout.close()
    complaint = command.stderr.read()
    command.stderr.close()
    assert (command.wait(timeout=60), complaint) == (141, b"")


def test_an_old_encoding_gets_question_marks_and_no_traceback(off: Path) -> None:
    ended = subprocess.run(
        [*COMMAND, "check", str(off)],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )
    assert (ended.returncode, ended.stderr) == (1, b"")
    assert b"RECORD AGAIN" in ended.stdout


@pytest.mark.parametrize(
    ("closed", "said_on_stdout"),
    [("<&-", True), ("2>&-", True), (">&-", False), (">&- 2>&-", False)],
)
def test_a_stream_that_the_caller_has_closed_does_no_harm(
    off: Path, closed: str, *, said_on_stdout: bool
) -> None:
    line = f'"$0" -m couchside check "$1" nothing.dcm {closed}'
    done = subprocess.run(
        ["sh", "-c", line, sys.executable, str(off)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 3
    assert ("RECORD AGAIN" in done.stdout) == said_on_stdout
    assert "couchside:" not in done.stdout
    assert done.stderr == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_an_answer_for_which_there_is_no_room_ends_in_a_sentence(off: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COMMAND, "check", off], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert done.stderr == (
        "couchside: the answer could not be written (No space left on device); make room and ask "
        "again\n"
    )


@contextmanager
def serving(*arguments: str | Path, cache: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A serving command and the address that it printed."""
    command = subprocess.Popen(
        [*COMMAND, *map(str, arguments), "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "XDG_CACHE_HOME": str(cache)},
    )
    try:
        assert command.stdout is not None
        said = command.stdout.readline() + command.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+", said)
        assert found is not None, said + command.communicate(timeout=60)[1]
        yield command, found[0]
    finally:
        command.kill()
        command.communicate()


def get_page(address: str) -> str:
    with urllib.request.urlopen(address, timeout=30) as page:  # noqa: S310 - this machine's own
        text: str = page.read().decode()
    return text


def test_serve_prints_its_address_and_ends_well_by_ctrl_c(tmp_path: Path) -> None:
    with serving("serve", "--data", tmp_path / "data", cache=tmp_path) as (command, address):
        assert "Couchside" in get_page(address)
        command.send_signal(signal.SIGINT)
        assert command.wait(timeout=30) == 0


def test_a_port_that_is_taken_gets_a_sentence(shell: Shell, tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        ended = shell.run("serve", "--data", tmp_path / "data", "--port", str(port))
        demo = shell.run("demo", "--no-browser", "--port", str(port))
    for each in (ended, demo):
        assert each.code == 2
        assert f"port {port} on 127.0.0.1 is in use" in each.err
        assert "choose another with --port" in each.err
        assert "Errno" not in each.err
    assert "Preparing" not in demo.out


def test_a_sheet_without_a_page_is_refused(shell: Shell, tmp_path: Path) -> None:
    ended = shell.run("check", tmp_path / "ecg.dcm", "--paper", "A3")
    assert ended.code == 2
    assert "--paper A3 names the sheet of --pdf" in ended.err


def test_the_demo_shows_a_round_and_leaves_nothing_behind(tmp_path: Path) -> None:
    with serving("demo", "--no-browser", cache=tmp_path) as (command, address):
        people = set(re.findall(r'href="/recordings/\d+"', get_page(address)))
        assert len(people) >= 8
        assert len(list((tmp_path / "couchside").iterdir())) == 1
        command.terminate()
        assert command.wait(timeout=30) == 0
    assert not list((tmp_path / "couchside").iterdir())


GOOD = get_scenario("good")
OFF = Fault(kind=FaultKind.CONTACT_FLAT, electrode=Electrode.LA)


def write_csv(name: str, scenario: Scenario, folder: Path) -> Path:
    """A simulated recording as a table."""
    path = folder / f"{name}.csv"
    path.write_bytes(formats.write_csv(simulate(scenario).recording))
    return path


def write_wfdb(name: str, scenario: Scenario, folder: Path) -> Path:
    """A simulated recording as a WFDB record of two files."""
    folder.mkdir(parents=True)
    for file in formats.write_wfdb(simulate(scenario).recording, name).files:
        (folder / file.name).write_bytes(file.content)
    return folder / f"{name}.hea"
