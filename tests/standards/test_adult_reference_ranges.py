"""Simulated adults against published reference ranges of healthy adults.

Ranges: 2nd to 98th centile of 46,129 low-risk adults (Mason et al., J Electrocardiol 2007;40:228,
abstract). So about 2 % should lie on either side; the tolerance is four standard errors of a share
of 2 % among 2,000, √(0.02·0.98/2000) = 0.31 %, and 1 % for the drawn population not being theirs.
Voltages: fewer than one in ten above the Sokolow–Lyon limit (3.5 mV) and one in twenty above the
Cornell limits (2.0 mV women, 2.8 mV men), which are set to be rare in the healthy; low voltage
(under 0.5 mV in every limb lead) in under one in fifty. P axis: 0 to 75 degrees [common practice],
from memory; no centiles of it are known here, so up to one in ten may lie outside.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import LIMB_LEADS, STANDARD_LEADS, Sex
from couchside.simulate import Truth, random_scenario, simulate

ADULTS = 2000
MOST_OUTSIDE = 0.02 + 4 * 0.0031 + 0.01
RANGES = {
    "rate_per_min": (48.0, 98.0),
    "pr_ms": (113.0, 212.0),
    "qrs_ms": (69.0, 109.0),
    "qt_ms": (325.0, 452.0),
    "qtcf_ms": (359.0, 445.0),
    "axis_deg": (-40.0, 91.0),
}
Population = dict[str, NDArray[np.float64]]


@pytest.fixture(scope="module")
def adults() -> Population:
    rows = [_measure(seed) for seed in range(ADULTS)]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


@pytest.mark.parametrize("name", sorted(RANGES))
def test_about_two_in_a_hundred_lie_on_either_side(adults: Population, name: str) -> None:
    low, high = RANGES[name]
    values = adults[name]
    assert not np.isnan(values).any()
    assert np.mean(values < low) < MOST_OUTSIDE
    assert np.mean(values > high) < MOST_OUTSIDE
    assert np.percentile(values, 2.0) < low + 0.25 * (high - low)
    assert np.percentile(values, 98.0) > high - 0.25 * (high - low)


def test_p_points_to_the_left_and_down(adults: Population) -> None:
    axes = adults["p_axis_deg"]
    assert not np.isnan(axes).any()
    assert 45.0 < np.median(axes) < 65.0
    assert np.mean((axes < 0.0) | (axes > 75.0)) < 0.10


def test_high_voltage_is_rare(adults: Population) -> None:
    women = adults["is_woman"] == 1.0
    assert np.mean(adults["sokolow_mv"] > 3.5) < 0.10
    assert np.mean(adults["cornell_mv"][women] > 2.0) < 0.05
    assert np.mean(adults["cornell_mv"][~women] > 2.8) < 0.05


def test_low_voltage_is_rare(adults: Population) -> None:
    assert np.mean(adults["largest_limb_mv"] < 0.5) < 0.02


def test_r_grows_and_s_shrinks_over_the_chest(adults: Population) -> None:
    assert np.median(adults["r_v1_mv"]) < 0.4
    assert np.median(adults["s_v1_mv"]) > 2.0 * np.median(adults["r_v1_mv"])
    assert np.mean(adults["r_v4_mv"] > adults["r_v1_mv"]) > 0.98
    assert np.mean(adults["avr_net_mv"] < 0.0) > 0.95
    assert np.mean(adults["t_v5_mv"] > 0.05) > 0.95


def _measure(seed: int) -> dict[str, float]:
    scenario = replace(random_scenario(seed), duration_s=3.5)
    truth = simulate(scenario).truth
    overall, to_ms = truth.overall, 1000.0 / scenario.recorder.rate_hz
    qt_ms = float(np.nanmedian(overall.t_offset - overall.qrs_onset)) * to_ms
    beat = int(truth.beat_samples[len(truth.beat_samples) // 2])
    leads = dict(zip(STANDARD_LEADS, truth.clean_microvolts / 1000.0, strict=True))
    qrs = {lead: samples[max(0, beat - 40) : beat + 45] for lead, samples in leads.items()}
    high = {str(lead): float(samples.max()) for lead, samples in qrs.items()}
    deep = {str(lead): -float(samples.min()) for lead, samples in qrs.items()}
    t_peak = truth.t.peak[STANDARD_LEADS.index("V5")]
    t_at = t_peak[~np.isnan(t_peak)][:1].astype(int)
    return {
        "is_woman": float(scenario.body.sex is Sex.FEMALE),
        "rate_per_min": truth.heart.rate_per_min,
        "pr_ms": float(np.nanmedian(overall.qrs_onset - overall.p_onset)) * to_ms,
        "qrs_ms": float(np.nanmedian(overall.qrs_offset - overall.qrs_onset)) * to_ms,
        "qt_ms": qt_ms,
        "qtcf_ms": qt_ms / float(np.cbrt(60.0 / truth.heart.rate_per_min)),
        "axis_deg": truth.heart.qrs_axis_deg,
        "p_axis_deg": _p_axis_deg(truth),
        "sokolow_mv": deep["V1"] + max(high["V5"], high["V6"]),
        "cornell_mv": high["aVL"] + deep["V3"],
        "largest_limb_mv": max(high[lead] + deep[lead] for lead in LIMB_LEADS),
        "r_v1_mv": high["V1"],
        "s_v1_mv": deep["V1"],
        "r_v4_mv": high["V4"],
        "avr_net_mv": high["aVR"] - deep["aVR"],
        "t_v5_mv": float(leads["V5"][t_at[0]]) if t_at.size else np.nan,
    }


def _p_axis_deg(truth: Truth) -> float:
    """From net areas in I and aVF, aVF times 2/√3, of the first whole P."""
    whole = np.isfinite(truth.overall.p_onset) & np.isfinite(truth.overall.p_offset)
    first = int(truth.overall.p_onset[whole][0])
    last = int(truth.overall.p_offset[whole][0])
    waves = truth.clean_microvolts[:, first : last + 1]
    line = np.linspace(waves[:, 0], waves[:, -1], waves.shape[1], axis=1)
    areas = dict(zip(STANDARD_LEADS, (waves - line).sum(axis=1), strict=True))
    return float(np.degrees(np.arctan2(2.0 / np.sqrt(3.0) * areas["aVF"], areas["I"])))
