"""What `couchside backup` and `couchside restore` may be asked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.options import Database, DataFolder

BackupFile = Annotated[
    Path,
    typer.Argument(
        metavar="FILE", readable=False, help="The backup, one zip file.", show_default=False
    ),
]


def backup(file: BackupFile, *, data: DataFolder = None, database: Database = "") -> None:
    """Write database, vault and settings into one new file, also while Couchside serves.

    Everything in it is as of one moment, and every hash is verified before the file gets its name.
    Files that the vault no longer holds whole are named, and the exit code is 1 then.
    """
    from couchside.cli.backup_command import run_backup  # noqa: PLC0415

    raise typer.Exit(run_backup(file, data=data, database=database))


def restore(
    file: BackupFile,
    *,
    into: Annotated[
        Path,
        typer.Option(
            "--into",
            metavar="FOLDER",
            readable=False,
            help="A new data folder; one that holds anything is refused.",
            show_default=False,
        ),
    ],
    database: Database = "",
) -> None:
    """Put a backup into a new data folder, once every hash in it is verified.

    A backup of either kind of database can be put into either; a PostgreSQL database must be empty.
    """
    from couchside.cli.backup_command import run_restore  # noqa: PLC0415

    raise typer.Exit(run_restore(file, into=into, database=database))
