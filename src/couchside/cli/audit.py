"""What `couchside audit` may be asked."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from couchside.cli.options import Database, DataFolder


class AuditAction(StrEnum):
    """What to do with the audit trail."""

    VERIFY = "verify"
    SHOW = "show"


def audit(
    action: Annotated[
        AuditAction,
        typer.Argument(
            metavar="verify|show",
            help="Check the chain of entries, or print the last of them.",
            show_default=False,
        ),
    ],
    *,
    data: DataFolder = None,
    database: Database = "",
    noted: Annotated[
        str,
        typer.Option(
            "--noted",
            metavar="SHA256",
            help="verify: a digest noted earlier, from a backup or an earlier check, that must "
            "still be in the chain.",
            show_default=False,
        ),
    ] = "",
    last: Annotated[
        int, typer.Option("--last", metavar="COUNT", min=1, help="show: how many entries.")
    ] = 50,
) -> None:
    """Check the audit trail's chain of hashes, or print its last entries.

    verify names the first entry that was changed, or before which one is missing, and ends with
    exit code 1 then. It prints the digest of the newest entry: noted elsewhere, it shows later
    whether entries were cut off at the end.
    """
    from couchside.cli.audit_command import run_show, run_verify  # noqa: PLC0415

    if action is AuditAction.VERIFY:
        raise typer.Exit(run_verify(data=data, database=database, noted_sha256=noted))
    raise typer.Exit(run_show(data=data, database=database, count=last))
