"""The open recordings, read the way Couchside reads any file."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import wfdb

import couchside
from couchside.recording import Recording

QUALITY_COLUMNS = ("baseline_drift", "static_noise", "burst_noise", "electrodes_problems")


def find_open_data() -> Path | None:
    """The folder that COUCHSIDE_DATA names, if it is there."""
    folder = os.environ.get("COUCHSIDE_DATA", "")
    path = Path(folder)
    return path if folder and path.is_dir() else None


def read_all(folder: Path, database: str) -> Iterator[tuple[str, Recording]]:
    """Every recording of a database by its name, in the order of names."""
    for header in sorted((folder / database).rglob("*.hea")):
        yield header.stem, couchside.read(header)


def read_ludb(folder: Path) -> Iterator[tuple[str, Recording]]:
    """LUDB with its stored integers taken as µV.

    The gains in its headers stretch every lead to 1 mV, lead by lead, so that I + III = II fails;
    the integers themselves fulfil it, and as µV they are of usual size.
    """
    for name, recording in read_all(folder, "ludb"):
        header = next((folder / "ludb").rglob(f"{name}.hea"))
        integers = wfdb.rdrecord(str(header.with_suffix("")), physical=False)
        microvolts = (integers.d_signal - np.array(integers.baseline)).T.astype(np.float64)
        yield name, replace(recording, microvolts=microvolts)


def read_cinc2011_labels(folder: Path) -> dict[str, bool]:
    """Whether a record was called unacceptable."""
    with (folder / "cinc2011" / "labels.csv").open(encoding="utf-8") as file:
        return {row["record"]: row["label"] == "unacceptable" for row in csv.DictReader(file)}


def read_ptbxl_rows(folder: Path) -> dict[str, dict[str, str]]:
    """The rows of the PTB-XL table by the name of the record."""
    with (folder / "ptbxl" / "ptbxl_database.csv").open(encoding="utf-8") as file:
        return {Path(row["filename_hr"]).name: row for row in csv.DictReader(file)}


def is_flagged(row: dict[str, str]) -> bool:
    """Whether an annotator remarked on the quality of a PTB-XL record."""
    return any(row[column].strip(" ,") for column in QUALITY_COLUMNS)
