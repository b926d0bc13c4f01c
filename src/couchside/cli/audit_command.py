"""`couchside audit`: the trail checked and shown, also while it is being written."""

from __future__ import annotations

import json
from contextlib import closing
from pathlib import Path

import typer

from couchside.cli.data_folder import open_existing_desk
from couchside.cli.exits import ExitCode
from couchside.service.trail import TrailCheck, check_trail, list_trail
from couchside.store.chain import Link


def run_verify(*, data: Path | None, database: str, noted_sha256: str) -> ExitCode:
    """Check the whole chain."""
    with closing(open_existing_desk(data, database)) as desk:
        check = check_trail(desk, noted_sha256=noted_sha256.strip().lower())
    typer.echo(_describe(check))
    is_sound = check.broken is None and check.holds_noted is not False
    return ExitCode.DONE if is_sound else ExitCode.RECORD_AGAIN


def run_show(*, data: Path | None, database: str, count: int) -> ExitCode:
    """Print the last entries, a line each."""
    with closing(open_existing_desk(data, database)) as desk:
        for entry in list_trail(desk, count=count):
            typer.echo(_describe_entry(entry))
    return ExitCode.DONE


def _describe(check: TrailCheck) -> str:
    if check.broken is not None:
        return f"entry {check.broken.number} {check.broken.sentence}; restore it from a backup"
    if check.holds_noted is False:
        return (
            "the chain holds, but the digest noted is not in it: entries were cut off at the end, "
            "or the digest is of another database"
        )
    return f"{check.count} entries, and the chain holds; the newest has {check.end_sha256}"


def _describe_entry(entry: Link) -> str:
    who = f"{entry.who} ({entry.account})" if entry.account else entry.who
    whence = f" from {entry.address}" if entry.address else ""
    detail = f" {json.dumps(entry.detail, ensure_ascii=False)}" if entry.detail else ""
    return (
        f"{entry.number}  {entry.at.isoformat(timespec='seconds')}  {who}{whence}: {entry.what} "
        f"{entry.subject_kind} {entry.subject_id}{detail}"
    )
