"""How likely readers are to call a recording unacceptable as a whole.

A logistic model on a few figures that say how much of the tracing is hidden, in all leads and in
the worst of them, and how far the noise stands above the beats. Its weights lie in
`acceptability.toml` with the data that they were fitted to;
``python -m benchmarks quality fit-acceptability`` makes that file again.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.quality.signals import Signals
from couchside.quality.spoils import Spoil
from couchside.quality.windows import window_range
from couchside.waves.medians import median_of_rows
from couchside.waves.model import Waves

FloatArray = NDArray[np.float64]

MODEL_FILE = "acceptability.toml"
FEATURES = (
    "hidden_time",
    "hidden_at_once",
    "hidden_in_worst_lead",
    "worst_noise",
    "smallest_lead",
)
FEWEST_LEADS = 8
SHORTEST_S = 5.0
USUAL_LEADS = 12.0
_RESIDUAL_FLOOR_UV = 5.0
_HEIGHT_FLOOR_UV = 30.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AcceptabilityModel:
    """Weights of the features, each set to mean 0 and spread 1 first; all of shape (feature,)."""

    mean: FloatArray
    spread: FloatArray
    weight: FloatArray
    intercept: float


def find_unreadable_probability(
    signals: Signals, spoils: dict[FindingKind, Spoil], waves: Waves
) -> float | None:
    """How likely readers are to call the recording unacceptable.

    Parameters
    ----------
    signals, spoils, waves
        Of one recording.

    Returns
    -------
    float or None
        From 0 to 1; None for fewer than eight leads or less than five seconds, which readers were
        not asked about.
    """
    if len(signals.leads) < FEWEST_LEADS or signals.duration_s < SHORTEST_S:
        return None
    return predict(get_model(), measure_features(signals, spoils, waves))


def predict(model: AcceptabilityModel, features: FloatArray) -> float:
    """The model's probability for features of shape (feature,)."""
    score = model.intercept + float(((features - model.mean) / model.spread) @ model.weight)
    return float(1.0 / (1.0 + np.exp(-score)))


@cache
def get_model() -> AcceptabilityModel:
    """The shipped model."""
    text = (files("couchside.quality") / MODEL_FILE).read_text(encoding="utf-8")
    table = tomllib.loads(text)
    rows = [table["feature"][name] for name in FEATURES]
    mean, spread, weight = (np.array([row[key] for row in rows]) for key in _COLUMNS)
    return AcceptabilityModel(
        mean=mean, spread=spread, weight=weight, intercept=float(table["intercept"])
    )


_COLUMNS = ("mean", "spread", "weight")


def measure_features(
    signals: Signals, spoils: dict[FindingKind, Spoil], waves: Waves
) -> FloatArray:
    """What the model looks at, in the order of `FEATURES`; sums over leads are for twelve."""
    hidden = np.logical_or.reduce([spoil.hides for spoil in spoils.values()])
    in_lead = hidden.mean(axis=1)
    usual_uv = median_of_rows(window_range(signals.microvolts, signals.window_samples))
    return np.array(
        [
            np.sqrt(USUAL_LEADS * in_lead.mean()),
            np.sqrt(hidden.any(axis=0).mean()),
            np.sqrt(in_lead.max()),
            _noise_against_beats(waves).max(),
            np.log(usual_uv.min() + _HEIGHT_FLOOR_UV),
        ]
    )


def _noise_against_beats(waves: Waves) -> FloatArray:
    """Log of residual over height of the beat, shape (lead,).

    Noise as high as the beats is taken where too few beats were alike to tell one from the other.
    """
    beat = waves.representative
    if beat is None or beat.beat_count < thresholds.MIN_BEATS_FOR_TEMPLATE:
        return np.zeros(1)
    heights_uv = np.ptp(np.nan_to_num(beat.microvolts), axis=1)
    residual_uv = np.where(np.isnan(beat.residual_rms_uv), heights_uv, beat.residual_rms_uv)
    ratio: FloatArray = np.log((residual_uv + _RESIDUAL_FLOOR_UV) / (heights_uv + _HEIGHT_FLOOR_UV))
    return ratio
