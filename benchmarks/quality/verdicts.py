"""Verdicts against those of human annotators, and repeats asked for without need."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from benchmarks.quality.open_data import (
    is_flagged,
    read_all,
    read_cinc2011_labels,
    read_ludb,
    read_ptbxl_rows,
)
from benchmarks.quality.tables import Table, rate
from couchside.quality import FindingKind, Verdict, check
from couchside.recording import Recording


def measure_agreement(folder: Path) -> list[Table]:
    """Acceptable or not on CinC 2011: fitted on records of even index, reported on the odd."""
    labels = read_cinc2011_labels(folder)
    kinds = {
        name: _why_again(recording)
        for name, recording in read_all(folder, "cinc2011")
        if name in labels
    }
    names = sorted(kinds)
    halves = {"even (fitted on)": names[::2], "odd (reported)": names[1::2], "all": names}
    said = {name: bool(kinds[name]) for name in names}
    without = {name: bool(set(kinds[name]) - {FindingKind.CABLES_EXCHANGED}) for name in names}
    exchanged = [name for name in names if FindingKind.CABLES_EXCHANGED in kinds[name]]
    return [
        Table(
            title="Acceptable or unacceptable, PhysioNet/CinC 2011 set A",
            about=(
                '"Record again" stands for unacceptable. Thresholds were chosen on the records of '
                "even index in the sorted list. Always saying acceptable gives "
                f"{100 * (1 - np.mean([labels[name] for name in names])):.1f} %; the published "
                "winner of the challenge had 93.2 %, and its labels are known to be inconsistent. "
                f"Cables were called exchanged in {len(exchanged)} records "
                f"({', '.join(exchanged)}); annotators graded noise, so the last rows leave that "
                "finding out."
            ),
            columns=("records", "accuracy", "unacceptable found", "acceptable kept"),
            rows=(
                *(_agreement_row(half, part, said, labels) for half, part in halves.items()),
                _agreement_row("all, cables left out", names, without, labels),
                _agreement_row("odd, cables left out", names[1::2], without, labels),
            ),
        )
    ]


def measure_false_alarms(folder: Path) -> list[Table]:
    """How often a repeat is asked for on recordings that nobody complained about."""
    rows = read_ptbxl_rows(folder)
    unflagged = (
        (name, recording)
        for name, recording in read_all(folder, "ptbxl")
        if not is_flagged(rows[name])
    )
    counted = {
        "PTB-XL, no quality remark": [_why_again(recording) for _, recording in unflagged],
        "LUDB, integers as µV": [_why_again(recording) for _, recording in read_ludb(folder)],
        "LUDB, as its headers say": [
            _why_again(recording) for _, recording in read_all(folder, "ludb")
        ],
    }
    return [
        Table(
            title="Repeats asked for on recordings that nobody complained about",
            about="All records of each kind; at most 1 % is the goal.",
            columns=("recordings", "record again", "kinds of finding"),
            rows=tuple(
                (
                    name,
                    rate(sum(bool(kinds) for kinds in each), len(each)),
                    ", ".join(sorted({kind for kinds in each for kind in kinds})) or "none",
                )
                for name, each in counted.items()
            ),
        )
    ]


def _why_again(recording: Recording) -> tuple[FindingKind, ...]:
    return tuple(
        found.kind for found in check(recording).findings if found.asks == Verdict.RECORD_AGAIN
    )


def _agreement_row(
    half: str, names: list[str], said: dict[str, bool], labels: dict[str, bool]
) -> tuple[str, ...]:
    bad = [name for name in names if labels[name]]
    good = [name for name in names if not labels[name]]
    return (
        half,
        rate(sum(said[name] == labels[name] for name in names), len(names)),
        rate(sum(said[name] for name in bad), len(bad)),
        rate(sum(not said[name] for name in good), len(good)),
    )
