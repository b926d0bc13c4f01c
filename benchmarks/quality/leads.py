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
from couchside.quality import Band
from couchside.quality.signals import Signals, prepare_signals
from couchside.recording import STANDARD_LEADS
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def _drift(signals: Signals) -> FloatArray:
    spread: FloatArray = signals.noise[Band.WANDER].std(axis=1)
    return spread


def _static(signals: Signals) -> FloatArray:
    level = np.hypot(_windows(signals, Band.MUSCLE), _windows(signals, Band.MAINS))
    quantile: FloatArray = np.nanquantile(level, 0.25, axis=1)
    scaled: FloatArray = quantile * quantile.mean()
    return scaled


def _burst(signals: Signals) -> FloatArray:
    largest: FloatArray = np.nanmax(_windows(signals, Band.MUSCLE), axis=1)
    return largest


def _windows(signals: Signals, band: Band) -> FloatArray:
    return signals.moments[band].rms_uv


SCORES: dict[str, tuple[str, Callable[[Signals], FloatArray]]] = {
    "baseline_drift": ("wander, standard deviation", _drift),
    "static_noise": ("tremor and mains, 25th centile of windows, times its mean of leads", _static),
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
    scores: dict[str, dict[str, FloatArray]] = {}
    for name, recording in read_all(folder, "ptbxl"):
        signals = prepare_signals(recording, delineate(recording))
        scores[name] = {column: score(signals) for column, (_, score) in SCORES.items()}
    table = []
    for column, (words, _) in SCORES.items():
        scored = _gather(scores, rows, column)
        table.append(
            (
                column,
                words,
                _say_area(scored, ~scored.second_half),
                _say_area(scored, scored.second_half),
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
    scores: dict[str, dict[str, FloatArray]], rows: dict[str, dict[str, str]], column: str
) -> LeadScores:
    names = sorted(scores)
    odd = [int(float(rows[name]["patient_id"])) % 2 == 1 for name in names]
    named = [[lead in parse_leads(rows[name][column]) for lead in STANDARD_LEADS] for name in names]
    return LeadScores(
        score=np.concatenate([scores[name][column] for name in names]),
        named=np.array(named).ravel(),
        second_half=np.repeat(np.array(odd), len(STANDARD_LEADS)),
    )


def _say_area(scored: LeadScores, part: BoolArray) -> str:
    named = scored.named[part]
    recordings = int(named.reshape(-1, len(STANDARD_LEADS)).any(axis=1).sum())
    area = area_under_curve(scored.score[part], named)
    return f"{area:.3f} ({int(named.sum())} leads named, in {recordings} recordings)"


def area_under_curve(score: FloatArray, named: BoolArray) -> float:
    """How often one that is named scores higher than one that is not."""
    ranks = rankdata(score)
    count = int(named.sum())
    return float((ranks[named].mean() - (count + 1) / 2) / (len(named) - count))
