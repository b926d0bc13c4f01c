"""Make `docs/commands.md` again from the commands, the exit codes and the JSON Schema.

`docs/screens.md` too, from the list of pages; its pictures are taken by `tools.screenshots`.

The schema of the comparison is put into that of the check, so that one file validates alone.

`python -m tools.docs` writes; with `--check` it only says whether anything is out of date.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator
from enum import StrEnum
from pathlib import Path
from textwrap import indent
from typing import Any

import typer
import typer.main
from jsonschema import Draft202012Validator

from couchside.cli.commands import app
from couchside.cli.exits import MEANINGS, PRECEDENCE
from couchside.measures import MeasureName
from couchside.quality.model import Band, FindingKind, Reading, Verdict
from tools.screens import SCREENS_PAGE, make_screens_page

ROOT = Path(__file__).parents[1]
COMMANDS_PAGE = ROOT / "docs" / "commands.md"
SCHEMA_FILE = ROOT / "docs" / "schema" / "check.schema.json"
COMPARISON_SCHEMA_FILE = ROOT / "docs" / "schema" / "compare.schema.json"
HELP_WIDTH = 90
CLOSED_SETS: dict[str, type[StrEnum]] = {
    "verdict": Verdict,
    "finding_kind": FindingKind,
    "measure_name": MeasureName,
    "band": Band,
    "reading": Reading,
}


def main(arguments: list[str]) -> int:
    """Write what is out of date; with ``--check`` name it and give 1."""
    whole = put_comparison_in(_read(SCHEMA_FILE), _read(COMPARISON_SCHEMA_FILE))
    schema = json.loads(whole)
    complaints = list(check_schema(schema))
    for complaint in complaints:
        typer.echo(complaint, err=True)
    made = {
        SCHEMA_FILE: whole,
        COMMANDS_PAGE: make_commands_page(schema),
        SCREENS_PAGE: make_screens_page(),
    }
    stale = [path for path, text in made.items() if not path.exists() or _read(path) != text]
    if "--check" in arguments:
        for path in stale:
            name = path.relative_to(ROOT).as_posix()
            typer.echo(f"{name} is out of date; run `make docs`", err=True)
        return 1 if stale or complaints else 0
    for path in stale:
        path.write_text(made[path], encoding="utf-8")
    return 1 if complaints else 0


def put_comparison_in(schema: str, comparison: str) -> str:
    """The schema of the check with that of the comparison, under its own name, as last definition.

    Both as they are written down, so that the rest of the file stays as it was.
    """
    before, found, _ = schema.partition(_COMPARISON)
    before = before if found else schema.rstrip().removesuffix(_END.rstrip())
    return f"{before}{_COMPARISON}{indent(comparison.strip(), '    ').strip()}{_END}"


def _read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def check_schema(schema: dict[str, Any]) -> Iterator[str]:
    """A sentence for each thing that the schema should say and does not."""
    Draft202012Validator.check_schema(schema)
    for name, members in CLOSED_SETS.items():
        told = {
            entry["const"]: entry.get("description") for entry in schema["$defs"][name]["oneOf"]
        }
        for member in members:
            if not told.get(member.value):
                yield f"docs/schema/check.schema.json: {name} does not describe {member.value!r}"
        for value in told.keys() - {member.value for member in members}:
            yield f"docs/schema/check.schema.json: {name} describes {value!r}, which is no more"


def make_commands_page(schema: dict[str, Any]) -> str:
    """The whole page."""
    parts = [_HEAD, *_commands(), _exit_codes(), _ODD_INPUT, _JSON_HEAD]
    parts += [_table("finding", schema, "finding_kind"), _table("measure", schema, "measure_name")]
    return "\n".join(parts)


def _commands() -> Iterator[str]:
    group: Any = typer.main.get_command(app)
    context = group.make_context("couchside", ["version"], **_CONTEXT)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        yield _command(name, command, context)


def _command(name: str, command: Any, context: Any) -> str:
    own = command.make_context(name, [], parent=context, resilient_parsing=True, **_CONTEXT)
    return f"## couchside {name}\n\n```text\n{command.get_help(own)}\n```\n"


def _exit_codes() -> str:
    rows = [f"| {code.value} | {meaning} |" for code, meaning in MEANINGS.items()]
    return "\n".join(
        ["## Exit codes", "", "| code | means |", "|---:|---|", *rows, "", PRECEDENCE, ""]
    )


def _table(title: str, schema: dict[str, Any], name: str) -> str:
    entries: Iterable[dict[str, str]] = schema["$defs"][name]["oneOf"]
    rows = [f"| `{entry['const']}` | {entry['description']} |" for entry in entries]
    return "\n".join([f"| {title} | means |", "|---|---|", *rows, ""])


_COMPARISON = ',\n    "comparison": '
_END = "\n  }\n}\n"

_CONTEXT: dict[str, Any] = {"terminal_width": HELP_WIDTH, "max_content_width": HELP_WIDTH}

_HEAD = """# Commands

Made from the code by `make docs`; do not edit. The command is installed as `couchside`, and
`python -m couchside` is the same.

What went wrong is one sentence on stderr, the answer alone goes to stdout. A progress bar shows
from the second file on, on a terminal only. Output that does not go to a terminal is plain text,
and `NO_COLOR` turns colours off everywhere; no meaning hangs on a colour. `COUCHSIDE_DEBUG=1` shows
where a fault of Couchside's own arose.
"""

_ODD_INPUT = """## Odd input

What cannot be used gets one sentence and exit code 3; what can be read, however poor, gets a
verdict with its reasons, and the verdict decides the exit code.

| file | answer |
|---|---|
| missing, closed to this user, a pipe or a device | a sentence |
| empty, cut short, or a header that promises more than the data holds | a sentence |
| another kind of file or of DICOM object, whatever its name says | a sentence |
| an ECG format that is not read yet (HL7 aECG, SCP-ECG, EDF, …) | a sentence, also in a folder |
| a gain of zero, more than 18 leads, longer than one hour, larger than 256 MB | a sentence |
| a zip file that unpacks to more than 50 times its size | a sentence |
| a table that states no rate or unit | a sentence that asks for `--rate` or `--unit` |
| a recording under a wrong ending | read: the content decides |
| few leads, a low sampling rate, gaps, under ten seconds, voltages of no heart | a verdict |
| up to an hour, such as the half hours of reference databases | a verdict on all of it |
| a folder | each recording in it; a name that promises one (`.dcm`, `.hea`) is held to it |
"""

_JSON_HEAD = """## The JSON

`couchside check --json` prints one JSON object by [check.schema.json](schema/check.schema.json)
(JSON Schema 2020-12). Its key `document` says which of three it is:

| document | printed for |
|---|---|
| `assessment` | one FILE that was read |
| `unreadable` | one FILE that could not be read, with the sentence that says why |
| `collection` | several FILEs, or a folder: `recordings`, `unreadable` and `verdict_counts` |

The form is stable: under `schema_version` 1.x fields may be added; none is renamed, removed or
given another meaning. Names carry their units. No number is ever NaN: what is absent is `null`.
`code_version` is the version of Couchside that derived everything in the object, and each measure
names its method. `couchside compare --json` prints one object by
[compare.schema.json](schema/compare.schema.json), under the same rules; an assessment holds it
under `comparison` too where an earlier recording was asked. The object holds what the
file states about the person: handle it as you handle the recording.
"""


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
