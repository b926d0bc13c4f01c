"""Open the database and the vault of one data folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Store:
    """Database and vault of one data folder."""

    data_folder: Path

    def close(self) -> None:
        """Let go of the database."""
        raise NotImplementedError


def open_store(data_folder: Path) -> Store:
    """Open the store in a folder, made and brought up to date where needed."""
    raise NotImplementedError
