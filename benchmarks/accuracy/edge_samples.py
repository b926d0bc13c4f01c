"""What the yardsticks say on the averages of annotated recordings, beside what the experts said."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from unittest.mock import patch

import numpy as np

from benchmarks.accuracy.annotated import (
    Annotated,
    FloatArray,
    Mark,
    Part,
    Wave,
    read_ludb,
    read_qtdb,
    stretch_around_marks,
)
from benchmarks.accuracy.noise import make_noises
from benchmarks.accuracy.simulated import read_simulated, read_written
from couchside.waves import (
    boundaries_qrs,
    bundle_waves,
    delineate,
    edge_rules,
    smooth_waves,
)
from couchside.waves.beats_and_waves import BeatsAndWaves, find_beats_and_waves
from couchside.waves.bounds import BundleBounds
from couchside.waves.combine import (
    EdgeRule,
    combine_edges,
    find_base,
    lead_features,
    overall_features,
)
from couchside.waves.filters import ANALYSIS_RATE_HZ, SOFT_RATE_HZ

BOUNDARIES = {
    "QRS_ONSET": (Wave.QRS, "onset", ANALYSIS_RATE_HZ),
    "QRS_OFFSET": (Wave.QRS, "offset", ANALYSIS_RATE_HZ),
    "P_ONSET": (Wave.P, "onset", SOFT_RATE_HZ),
    "P_OFFSET": (Wave.P, "offset", SOFT_RATE_HZ),
    "T_ONSET": (Wave.T, "onset", SOFT_RATE_HZ),
    "T_OFFSET": (Wave.T, "offset", SOFT_RATE_HZ),
}
"""Rule, wave, side, and the rate at which the rule counts."""

STRETCH_MARGIN_S = 20.0
QTDB_IMPORTANCE = 2.0
"""The QT Database has fewer rows: two leads, not twelve."""
OVERALL_IMPORTANCE = 4.0
LEAST_LEADS = 6
_FULL_BEATS = 4
_SECOND = 1
"""With six leads or more the reference over all leads is the second earliest onset and the second
latest end: the outermost one is too often a slip."""
NOISE_ADDED = ("NSTDB em (electrode movement), 24 dB", "NSTDB ma (muscle), 24 dB")
NOISE_IMPORTANCE = 0.5
"""LUDB counts again with such noise added, so that a rule trusts the yardsticks that noise moves
least."""
NOISE_SEED = 20260201
SIMULATED_IMPORTANCE = 1.0
SIMULATED_LEAD_SHARE = 0.05
"""Simulated people and written beats, whose truth is exact, shape the rule over all leads as much
as the experts do; for single leads they only keep it from running wild on shapes that no expert
marked."""


@dataclass(kw_only=True)
class EdgeSamples:
    """Rows to fit one rule to; targets are samples outward beyond the base."""

    features: list[FloatArray] = field(default_factory=list)
    targets: list[float] = field(default_factory=list)
    weights: list[float] = field(default_factory=list)
    records: list[str] = field(default_factory=list)

    def add(self, features: FloatArray, target: float, weight: float, record: str) -> None:
        """One more row."""
        self.features.append(features)
        self.targets.append(target)
        self.weights.append(weight)
        self.records.append(record)


@dataclass(kw_only=True)
class RuleSamples:
    """Rows for both halves of an `EdgeRule`."""

    lead: EdgeSamples = field(default_factory=EdgeSamples)
    overall: EdgeSamples = field(default_factory=EdgeSamples)


def collect_samples(folder: Path, part: Part) -> dict[str, RuleSamples]:
    """Rows for every rule, from LUDB, the QT Database and simulated recordings."""
    samples = {name: RuleSamples() for name in BOUNDARIES}
    for annotated, importance in _read_all(folder, part):
        heard = _Heard()
        with heard.listening():
            found = find_beats_and_waves(annotated.recording)
        if found is None:
            continue
        for name in BOUNDARIES:
            rows = _Rows(name=name, annotated=annotated, found=found, heard=heard)
            rows.add_to(samples[name], importance)
    return samples


def reference_offsets(
    annotated: Annotated, wave: Wave, side: str, beats_ms: FloatArray
) -> FloatArray:
    """Reference boundary of each lead from the detection point of its beat, ms, (lead, beat)."""
    rows = [_offsets(annotated, marks, wave, side, beats_ms) for marks in annotated.marks]
    return np.array(rows).reshape(len(annotated.marks), beats_ms.shape[0])


def overall_reference(offsets: FloatArray, sign: float) -> float:
    """Reference over all leads, ms; NaN where too few leads are marked.

    Each lead is first read as the median over its beats, which takes out most of the hand's
    unsteadiness: of many unsteady readings the outermost always lies too far out.

    Parameters
    ----------
    offsets : array of shape (lead, beat)
        From `reference_offsets`, beats that belong together.
    sign : float
        -1 for an onset, 1 for an end.
    """
    known = [row[np.isfinite(row)] for row in offsets]
    leads = np.array([np.median(row) for row in known if row.size])
    if leads.shape[0] < min(LEAST_LEADS, offsets.shape[0]):
        return np.nan
    back = _SECOND if offsets.shape[0] >= LEAST_LEADS else 0
    return float(sign * np.sort(sign * leads)[-1 - back])


class _Heard:
    """Takes down what `combine_edges` was given and gave, rule by rule."""

    def __init__(self) -> None:
        self.seen: dict[str, tuple[FloatArray, FloatArray, FloatArray]] = {}
        self.lead: dict[str, FloatArray] = {}
        self.overall: dict[str, FloatArray] = {}

    def combine(
        self, edges: FloatArray, rules: tuple[EdgeRule, EdgeRule]
    ) -> tuple[FloatArray, FloatArray]:
        lead, overall = combine_edges(edges, rules)
        seen = zip(find_base(edges), lead_features(edges), overall_features(edges), strict=True)
        for rule, of_side, *placed in zip(rules, seen, lead, overall, strict=True):
            name = next(name for name in BOUNDARIES if getattr(edge_rules, name) is rule)
            self.seen[name] = of_side
            self.lead[name], self.overall[name] = placed
        return lead, overall

    @contextmanager
    def listening(self) -> Iterator[None]:
        with ExitStack() as stack:
            for module in (boundaries_qrs, smooth_waves):
                stack.enter_context(patch.object(module, "combine_edges", self.combine))
            stack.enter_context(patch.object(bundle_waves, "hold_between", _leave))
            yield


def _leave(bounds: BundleBounds, *_: FloatArray) -> BundleBounds:
    """Boundaries as the rules put them."""
    return bounds


@dataclass(frozen=True, kw_only=True)
class _Rows:
    """The rows of one rule from one recording."""

    name: str
    annotated: Annotated
    found: BeatsAndWaves
    heard: _Heard

    def add_to(self, samples: RuleSamples, importance: float) -> None:
        wave, side, rate_hz = BOUNDARIES[self.name]
        sign, per_ms = (-1.0 if side == "onset" else 1.0), rate_hz / 1000.0
        name = self.annotated.name
        reference, overall = self._references(wave, side)
        start, overall_start = self._starts(wave, side, sign, per_ms)
        base, per_lead, over_all = self.heard.seen[self.name]
        for number, members in enumerate(self.found.bundles):
            weight = importance * min(members.shape[0], _FULL_BEATS) / _FULL_BEATS
            whole = (
                _middle(overall[members])
                if self.annotated.overall
                else overall_reference(reference[:, members], sign)
            )
            target = sign * (whole - overall_start[number]) * per_ms - base[number]
            if np.isfinite(target):
                samples.overall.add(over_all[number], target, weight * OVERALL_IMPORTANCE, name)
            if self.annotated.overall:
                weight *= SIMULATED_LEAD_SHARE
            for lead, row in enumerate(reference[:, members]):
                target = sign * (_middle(row) - start[number, lead]) * per_ms - base[number]
                if np.isfinite(target):
                    samples.lead.add(per_lead[number, lead], target, weight, name)

    def _references(self, wave: Wave, side: str) -> tuple[FloatArray, FloatArray]:
        """Reference per lead and over all leads, less each beat's lag, ms."""
        found = self.found
        beats_ms: FloatArray = (
            found.beats * found.step * 1000.0 / self.annotated.recording.rate_hz
        ).astype(np.float64)
        waves = found.waves
        lag_ms = {Wave.P: waves.p_lag_ms, Wave.T: waves.t_lag_ms}.get(wave, 0.0 * beats_ms)
        reference = reference_offsets(self.annotated, wave, side, beats_ms)[found.usable]
        overall = _offsets(self.annotated, self.annotated.overall, wave, side, beats_ms)
        return reference - lag_ms, overall - lag_ms

    def _starts(
        self, wave: Wave, side: str, sign: float, per_ms: float
    ) -> tuple[FloatArray, FloatArray]:
        """Where the outward count starts, from the detection point, ms."""
        waves = self.found.waves
        bounds = {Wave.P: waves.p, Wave.QRS: waves.qrs, Wave.T: waves.t}[wave]
        lead = getattr(bounds, side) - sign * self.heard.lead[self.name] / per_ms
        whole = getattr(bounds, f"overall_{side}") - sign * self.heard.overall[self.name] / per_ms
        return lead, whole


def _middle(values: FloatArray) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if known.size else np.nan


def _read_all(folder: Path, part: Part) -> Iterator[tuple[Annotated, float]]:
    noises, chance = dict(make_noises(folder, part)), np.random.default_rng(NOISE_SEED)
    for annotated in read_ludb(folder, part):
        yield annotated, 1.0
        waves = delineate(annotated.recording)
        for name in NOISE_ADDED:
            noisy = noises[name](annotated.recording, waves, chance)
            yield replace(annotated, recording=noisy), NOISE_IMPORTANCE
    for annotated in read_qtdb(folder, part):
        yield stretch_around_marks(annotated, STRETCH_MARGIN_S), QTDB_IMPORTANCE
    for annotated in read_simulated(part):
        yield annotated, SIMULATED_IMPORTANCE
    for annotated in read_written(part):
        yield annotated, SIMULATED_IMPORTANCE


_REACH_MS = {Wave.P: (-600.0, 0.0), Wave.QRS: (-120.0, 120.0), Wave.T: (0.0, 700.0)}
"""How far from the detection point a wave's peak may lie to belong to that beat."""


def _offsets(
    annotated: Annotated, marks: tuple[Mark, ...], wave: Wave, side: str, beats_ms: FloatArray
) -> FloatArray:
    per_ms = annotated.recording.rate_hz / 1000.0
    found = np.full(beats_ms.shape[0], np.nan)
    for mark in marks:
        boundary = getattr(mark, side) / per_ms
        if mark.wave is not wave or np.isnan(boundary):
            continue
        beat = _find_beat(mark.peak / per_ms - beats_ms, wave)
        if beat is not None:
            found[beat] = boundary - beats_ms[beat]
    return found


def _find_beat(distance_ms: FloatArray, wave: Wave) -> int | None:
    """The nearest beat on whose proper side a marked peak lies."""
    low, high = _REACH_MS[wave]
    possible = np.where((distance_ms > low) & (distance_ms < high), np.abs(distance_ms), np.inf)
    beat = int(np.argmin(possible))
    return beat if np.isfinite(possible[beat]) else None
