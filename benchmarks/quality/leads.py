"""The leads that annotators of PTB-XL named for three kinds of noise, told by one number."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import rankdata

from benchmarks.quality.annotated_leads import parse_leads
from benchmarks.quality.open_data import read_all, read_ptbxl_rows
from benchmarks.quality.tables import Table
from couchside.quality import FindingKind
from couchside.quality.signals import prepare_signals
from couchside.quality.spoils import Spoil, find_spoils
from couchside.recording import STANDARD_LEADS
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Spoils = dict[FindingKind, Spoil]


def _drift(spoils: Spoils) -> FloatArray:
    return _quantile(spoils[FindingKind.WANDER], 0.9)


def _static(spoils: Spoils) -> FloatArray:
    tremor = _quantile(spoils[FindingKind.MUSCLE_TREMOR], 0.25)
    mains = _quantile(spoils[FindingKind.MAINS], 0.25)
    return np.hypot(tremor, mains)


def _burst(spoils: Spoils) -> FloatArray:
    return _quantile(spoils[FindingKind.MUSCLE_TREMOR], 1.0)


def _quantile(spoil: Spoil, share: float) -> FloatArray:
    level: FloatArray = np.quantile(spoil.level_uv, share, axis=1)
    return level


SCORES: dict[str, tuple[str, Callable[[Spoils], FloatArray]]] = {
    "baseline_drift": ("wander, 90th centile of the windows", _drift),
    "static_noise": ("tremor and mains, 25th centile", _static),
    "burst_noise": ("tremor, largest window", _burst),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeadScores:
    """Every lead of every record: score and annotation for one kind of noise."""

    score: FloatArray
    named: BoolArray
    second_half: BoolArray


def measure_lead_noise(folder: Path) -> list[Table]:
    """Area under the curve by lead; what to score was chosen on patients of even number."""
    rows = read_ptbxl_rows(folder)
    spoils = {}
    for name, recording in read_all(folder, "ptbxl"):
        waves = delineate(recording)
        spoils[name] = find_spoils(prepare_signals(recording, waves))
    table = []
    for column, (words, score) in SCORES.items():
        scored = _gather(spoils, rows, column, score)
        first, second = ~scored.second_half, scored.second_half
        table.append(
            (
                column,
                words,
                f"{_auc(scored, first):.3f} ({int(scored.named[first].sum())} leads named)",
                f"{_auc(scored, second):.3f} ({int(scored.named[second].sum())} leads named)",
            )
        )
    return [
        Table(
            title="Leads named by human annotators, PTB-XL",
            about=(
                "Area under the ROC curve over all leads of all records. Chosen on patients of "
                "even number, reported on those of odd number. No published figure is known."
            ),
            columns=("annotation", "score", "even patients (chosen on)", "odd patients (reported)"),
            rows=tuple(table),
        )
    ]


def _gather(
    spoils: dict[str, Spoils],
    rows: dict[str, dict[str, str]],
    column: str,
    score: Callable[[Spoils], FloatArray],
) -> LeadScores:
    names = sorted(spoils)
    odd = [int(float(rows[name]["patient_id"])) % 2 == 1 for name in names]
    named = [[lead in parse_leads(rows[name][column]) for lead in STANDARD_LEADS] for name in names]
    return LeadScores(
        score=np.concatenate([score(spoils[name]) for name in names]),
        named=np.array(named).ravel(),
        second_half=np.repeat(np.array(odd), len(STANDARD_LEADS)),
    )


def _auc(scored: LeadScores, part: BoolArray) -> float:
    score, named = scored.score[part], scored.named[part]
    ranks = rankdata(score)
    count = int(named.sum())
    return float((ranks[named].mean() - (count + 1) / 2) / (len(named) - count))
