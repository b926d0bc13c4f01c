"""The recordings that the model of usual hearts is fitted to and reported on, and who is who."""

from __future__ import annotations

import csv
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from benchmarks.quality.open_data import (
    read_all,
    read_cinc2011_labels,
    read_ludb,
    read_ptbxl_rows,
)
from couchside.recording import STANDARD_LEADS, Recording

FOLDS = 5
SHORTEST_S, LONGEST_S = 9.9, 60.0
LOOKED_AT = {
    "1599410": "RA–LA: I is upside down, P too, and V1–V6 are usual",
    "2723883": "RA–LA: I is upside down, P too, and V1–V6 are usual",
    "1178618": "RA–LA: I and aVR are upside down, V1–V6 are usual",
    "00497_hr": "V2–V3: R and S of V2 belong between those of V3 and V4",
    "E00003": "V4–V5 or V4–V6: R falls and rises again",
    "2543809": "V4 carries next to nothing",
    "2865486": "V2 is noise",
    "2729748": "V3 is noise",
}
"""Recordings of the fitting half left out where the cautions are chosen, each looked at: they seem
really exchanged, or a lead of theirs cannot be read. None of the reported half is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenRecording:
    """One open recording with what splits and breakdowns need.

    Parameters
    ----------
    database, name : str
        Where it is from.
    person : str
        Recordings of one person share it.
    to_fit : bool
        Fitted to; else reported.
    words : str
        Everything its database says of the heart: statements, codes, free text.
    age_years : float or None
        None where not stated.
    recording : Recording
        Itself.
    """

    database: str
    name: str
    person: str
    to_fit: bool
    words: str
    age_years: float | None
    recording: Recording

    @property
    def fold(self) -> int:
        """Which part it is in when the fitting half is cross-validated by person."""
        return zlib.crc32(self.person.encode()) % FOLDS


def read_recordings(folder: Path) -> Iterator[OpenRecording]:
    """Every twelve-lead recording of 10 to 60 s of LUDB, PTB-XL and CinC 2020.

    Odd numbers (of the record for LUDB and CinC 2020, of the patient for PTB-XL) are fitted to,
    even ones reported.
    """
    for each in chain(_read_ludb(folder), _read_ptbxl(folder), _read_cinc2020(folder)):
        if _is_whole(each.recording):
            yield each


def read_more_to_fit(folder: Path) -> Iterator[OpenRecording]:
    """The acceptable recordings of even index of CinC 2011."""
    labels = read_cinc2011_labels(folder)
    named = [(name, each) for name, each in read_all(folder, "cinc2011") if name in labels]
    for name, recording in sorted(named, key=lambda pair: pair[0])[::2]:
        if not labels[name] and _is_whole(recording):
            yield OpenRecording(
                database="cinc2011",
                name=name,
                person=f"cinc2011 {name}",
                to_fit=True,
                words="",
                age_years=None,
                recording=recording,
            )


def _is_whole(recording: Recording) -> bool:
    whole = all(recording.has_lead(name) for name in STANDARD_LEADS)
    return whole and SHORTEST_S <= recording.duration_s <= LONGEST_S


def _read_ludb(folder: Path) -> Iterator[OpenRecording]:
    with (folder / "ludb" / "ludb.csv").open(encoding="utf-8") as file:
        rows = {row["ID"].strip(): row for row in csv.DictReader(file)}
    for name, recording in read_ludb(folder):
        row = {key: (value or "").strip() for key, value in rows.get(name, {}).items()}
        age = row.pop("Age", "")
        yield OpenRecording(
            database="ludb",
            name=name,
            person=f"ludb {name}",
            to_fit=int(name) % 2 == 1,
            words=" ".join(row.values()),
            age_years=_number(age),
            recording=recording,
        )


def _read_ptbxl(folder: Path) -> Iterator[OpenRecording]:
    rows = read_ptbxl_rows(folder)
    for name, recording in read_all(folder, "ptbxl"):
        patient = int(float(rows[name]["patient_id"]))
        yield OpenRecording(
            database="ptbxl",
            name=name,
            person=f"ptbxl {patient}",
            to_fit=patient % 2 == 1,
            words=rows[name]["scp_codes"],
            age_years=_number(rows[name]["age"]),
            recording=recording,
        )


def _read_cinc2020(folder: Path) -> Iterator[OpenRecording]:
    for name, recording in read_all(folder, "cinc2020"):
        header = next((folder / "cinc2020").rglob(f"{name}.hea")).read_text(encoding="utf-8")
        stated = dict(
            line.lstrip("# ").split(":", 1)
            for line in header.splitlines()
            if line.startswith("#") and ":" in line
        )
        number = int("".join(each for each in name if each.isdigit()))
        yield OpenRecording(
            database="cinc2020",
            name=name,
            person=f"cinc2020 {name}",
            to_fit=number % 2 == 1,
            words=stated.get("Dx", ""),
            age_years=_number(stated.get("Age", "")),
            recording=recording,
        )


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
