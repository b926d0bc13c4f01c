"""The data folder that commands beside `serve` work on."""

from __future__ import annotations

import getpass
from pathlib import Path

from platformdirs import user_data_path

from couchside.errors import InvalidInput
from couchside.service import Desk, open_desk


def get_data_folder(data: Path | None) -> Path:
    """The folder named, or this user's own."""
    return data or user_data_path("couchside")


def get_person() -> str:
    """Whoever runs the command, for the audit trail."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "somebody at this machine"


def open_existing_desk(data: Path | None, database: str) -> Desk:
    """The desk of a folder that was served before; raises InvalidInput where there is none."""
    folder = get_data_folder(data)
    if not folder.is_dir():
        raise InvalidInput(f"there is no data folder {folder}; name yours with --data")
    if not database and not (folder / "couchside.sqlite3").is_file():
        raise InvalidInput(
            f"{folder} holds no database; name the folder with --data, or the PostgreSQL database "
            "with --database"
        )
    return open_desk(folder, who=get_person(), database=database)
