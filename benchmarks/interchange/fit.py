"""Fit usual hearts and the cautions to the fitting half, and write them beside the code."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.recordings import LOOKED_AT, read_more_to_fit, read_recordings
from benchmarks.quality.tables import Table
from couchside.quality.interchange.arrangements import (
    ARRANGEMENTS,
    RECORDED_ELECTRODES,
    ArrangementGroup,
)
from couchside.quality.interchange.features import (
    P_PLACES,
    PLACES,
    QRS_PLACES,
    T_PLACES,
    BeatFeatures,
    find_features,
)
from couchside.quality.interchange.population import Population
from couchside.quality.interchange.scoring import TAIL, scale, score_against
from couchside.waves import delineate

FloatArray = NDArray[np.float64]

SHRINKAGE = 0.03
"""Share of the mean variance added to every direction."""
ITERATIONS = 30
MARGIN = 1.5
MARGIN_OF_GROUP = {
    ArrangementGroup.LEFT_ARM_LEFT_LEG: 9.0,
    ArrangementGroup.RIGHT_LEG: 3.0,
    ArrangementGroup.CHEST_PAIR: 6.0,
    ArrangementGroup.CHEST_ROW: 6.0,
    ArrangementGroup.LIMB_CHEST: 3.0,
}
"""Added to the most that an unchanged recording of the fitting half reaches: more where the
tail of those recordings is long, and most for left arm with left leg, of which the goal is that
half are found and which looks most like a usual heart."""
PACKAGE = Path("src/couchside/quality/interchange")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One recording of the fitting half."""

    name: str
    fold: int
    features: BeatFeatures


def fit_cables(folder: Path) -> list[Table]:
    """Fit to the fitting half and write what was fitted; the table shows the cautions."""
    samples = []
    for each in [*read_recordings(folder), *read_more_to_fit(folder)]:
        features = find_features(delineate(each.recording).representative) if each.to_fit else None
        if features is not None:
            samples.append(Sample(name=each.name, fold=each.fold, features=features))
    write_population(fit_population([sample.features for sample in samples]))
    caution = fit_caution(samples, frozenset(LOOKED_AT))
    write_caution(caution)
    return [
        Table(
            title="Cables: what was fitted",
            about=(
                f"Usual hearts from {len(samples)} recordings. The caution of a group is the most "
                "that any of its arrangements gains over cables in place on one of them, "
                "cross-validated by person, and a margin; natural logarithm. Left out there, each "
                "looked at: " + "; ".join(f"{name} ({why})" for name, why in LOOKED_AT.items())
            ),
            columns=("group", "caution"),
            rows=tuple((group, f"{value:.1f}") for group, value in caution.items()),
        )
    ]


def fit_population(samples: Sequence[BeatFeatures]) -> Population:
    """Middle and spread of each place, by the fixed point of the multivariate t distribution."""
    scaled = np.array([scale(each.potentials_uv) for each in samples])
    has_p = np.array([each.has_p for each in samples])
    fitted = [
        _fit_place(scaled[has_p if place < P_PLACES else slice(None), :, place])
        for place in range(PLACES)
    ]
    return Population(
        mean=np.array([mean for mean, _ in fitted]),
        whitening=np.array([whitening for _, whitening in fitted]),
    )


def _fit_place(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    basis = _sum_free_basis()
    points = points @ basis.T
    dimensions = points.shape[1]
    mean, spread = points.mean(axis=0), np.cov(points.T)
    shrunk = spread
    for _ in range(ITERATIONS):
        shrunk = spread + SHRINKAGE * np.trace(spread) / dimensions * np.eye(dimensions)
        away = points - mean
        squared = np.einsum("ni,ij,nj->n", away, np.linalg.inv(shrunk), away)
        weights = (TAIL + dimensions) / (TAIL + squared)
        mean = weights @ points / weights.sum()
        away = points - mean
        spread = (away.T * weights) @ away / points.shape[0]
    whitening = np.linalg.cholesky(np.linalg.inv(shrunk)).T @ basis
    return mean @ basis, whitening


def _sum_free_basis() -> FloatArray:
    """Eight orthonormal directions in which the nine potentials add up to zero (Helmert)."""
    count = len(RECORDED_ELECTRODES)
    rows = [[1.0] * step + [-float(step)] + [0.0] * (count - step - 1) for step in range(1, count)]
    basis = np.array(rows)
    unit: FloatArray = basis / np.linalg.norm(basis, axis=1, keepdims=True)
    return unit


def fit_caution(samples: Sequence[Sample], looked_at: frozenset[str]) -> dict[str, float]:
    """The most that any arrangement of a group gains on an unchanged recording, and a margin.

    Each recording is scored by a population fitted to the other folds, so that its own part in
    the fit does not flatter it.
    """
    populations = _by_fold(samples)
    usual = [sample for sample in samples if sample.name not in looked_at]
    gained = np.array([_gains(sample, populations[sample.fold]) for sample in usual])
    caution = {}
    for group in ArrangementGroup:
        columns = [at for at, each in enumerate(ARRANGEMENTS) if each.group is group]
        margin = MARGIN_OF_GROUP.get(group, MARGIN)
        caution[str(group)] = max(float(gained[:, columns].max()), 0.0) + margin
    caution[str(ArrangementGroup.IN_PLACE)] = 0.0
    return caution


def _by_fold(samples: Sequence[Sample]) -> dict[int, Population]:
    folds = {sample.fold for sample in samples}
    return {
        fold: fit_population([each.features for each in samples if each.fold != fold])
        for fold in folds
    }


def _gains(sample: Sample, population: Population) -> FloatArray:
    scores = score_against(sample.features, population)
    gains: FloatArray = scores - scores[0]
    return gains


def write_population(population: Population) -> None:
    """Into `population.csv`: for each place its middle and eight rows of whitening."""
    waves = np.repeat(["P", "QRS", "ST-T"], [P_PLACES, QRS_PLACES, T_PLACES])
    lines = [",".join(("wave", "place", "row", *map(str, RECORDED_ELECTRODES)))]
    for place in range(PLACES):
        rows = np.vstack((population.mean[place], population.whitening[place]))
        lines += [
            ",".join((waves[place], str(place), str(row), *(f"{value:.4f}" for value in values)))
            for row, values in enumerate(rows)
        ]
    (PACKAGE / "population.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_caution(caution: dict[str, float]) -> None:
    """Into `caution.csv`."""
    lines = ["group,caution", *(f"{group},{value:.1f}" for group, value in caution.items())]
    (PACKAGE / "caution.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
