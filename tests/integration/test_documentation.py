"""What is written down is what the code does: commands, exit codes, the JSON, the plain words."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from enum import StrEnum
from pathlib import Path
from typing import Any

import pytest
import typer.main

from couchside.cli.commands import app
from couchside.cli.exits import MEANINGS, ExitCode
from couchside.measures import MeasureName
from couchside.quality.model import Band, FindingKind, Verdict

ROOT = Path(__file__).parents[2]
COMMANDS_PAGE = ROOT / "docs" / "commands.md"
SCHEMA_FILE = ROOT / "docs" / "schema" / "check.schema.json"
REMAKE = "run `make docs`"


def test_the_page_of_commands_is_what_the_commands_say() -> None:
    ended = subprocess.run(
        [sys.executable, "-m", "tools.docs", "--check"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stderr) == (0, "")


def test_every_command_and_option_is_documented() -> None:
    page = COMMANDS_PAGE.read_text(encoding="utf-8")
    group: Any = typer.main.get_command(app)
    assert set(group.commands) == {
        "check", "compare", "print", "strip", "protocol", "checklist", "policy", "serve", "audit",
        "backup", "restore", "demo", "simulate", "version",
    }  # fmt: skip
    for name, command in group.commands.items():
        section = page.partition(f"## couchside {name}\n")[2].partition("\n## ")[0]
        assert command.help.split("\n")[0] in section, f"{name} has no section: {REMAKE}"
        for parameter in command.params:
            for option in (each for each in parameter.opts if each.startswith("--")):
                assert option in section, f"{name} {option} is not documented: {REMAKE}"
            assert parameter.help, f"{name} {parameter.name} has no help text"


def test_every_exit_code_is_documented() -> None:
    page = COMMANDS_PAGE.read_text(encoding="utf-8")
    assert set(MEANINGS) == set(ExitCode)
    for code, meaning in MEANINGS.items():
        assert f"| {code.value} | {meaning} |" in page, REMAKE


@pytest.mark.parametrize(
    ("name", "members"),
    [
        ("verdict", Verdict),
        ("finding_kind", FindingKind),
        ("measure_name", MeasureName),
        ("band", Band),
    ],
)
def test_the_schema_describes_every_member_of_a_closed_set(
    name: str, members: type[StrEnum]
) -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    told = {entry["const"]: entry["description"] for entry in schema["$defs"][name]["oneOf"]}
    assert set(told) == {member.value for member in members}
    assert all(description.endswith(".") for description in told.values())


@pytest.mark.parametrize("member", [*FindingKind, *MeasureName])
def test_every_finding_and_measure_is_on_the_page(member: StrEnum) -> None:
    assert f"| `{member.value}` | " in COMMANDS_PAGE.read_text(encoding="utf-8"), REMAKE


@pytest.mark.parametrize("page", ["README.md", "docs/architecture.md", "CONTRIBUTING.md"])
def test_every_link_to_a_file_leads_somewhere(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text)
    missing = [each for each in targets if not ((ROOT / page).parent / each).exists()]
    assert missing == []


def test_the_commands_that_the_readme_shows_exist() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    group: Any = typer.main.get_command(app)
    shown = re.findall(r"^\$ couchside (\w+)(.*)$", text, re.MULTILINE)
    assert shown
    for name, rest in shown:
        known = {option for each in group.commands[name].params for option in each.opts}
        assert set(re.findall(r"--[a-z-]+", rest.partition("#")[0])) <= known


def test_every_source_that_is_cited_is_in_the_list_of_references() -> None:
    """Cited by key in brackets: a name and a year, an RFC, or a standard."""
    listed = (ROOT / "docs" / "references.md").read_text(encoding="utf-8")
    known = set(re.findall(r"^\| (\S+) \|", listed, re.MULTILINE))
    cited = re.compile(
        r"\[([A-Z][A-Za-z]+\d{4}(?:-[IVX]+)?|RFC\d+|(?:NIST|IEC|ISO|DICOM)[\w.-]+)\b"
    )
    missing = {
        (source, path.name)
        for path in (ROOT / "src").rglob("*.py")
        for source in cited.findall(path.read_text(encoding="utf-8"))
        if source not in known
    }
    assert missing == set()
