"""`couchside backup` and `couchside restore`."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import typer

from couchside.cli.data_folder import open_existing_desk
from couchside.cli.exits import ExitCode
from couchside.service.backing_up import BackupReport, back_up, restore


def run_backup(file: Path, *, data: Path | None, database: str) -> ExitCode:
    """Make a backup and say what is in it."""
    with closing(open_existing_desk(data, database)) as desk:
        report = back_up(desk, file)
    return _tell(f"{file}: {report.file_count} files, every hash verified", report)


def run_restore(file: Path, *, into: Path, database: str) -> ExitCode:
    """Restore a backup and say how to go on."""
    report = restore(file, into, database)
    return _tell(f"{into}: {report.file_count} files, every hash and the trail verified", report)


def _tell(sentence: str, report: BackupReport) -> ExitCode:
    typer.echo(f"{sentence}; the newest entry of the audit trail has {report.trail_end_sha256}")
    for digest in report.damaged:
        typer.echo(f"not in it, for the vault does not hold it whole: {digest}", err=True)
    return ExitCode.RECORD_AGAIN if report.damaged else ExitCode.DONE
