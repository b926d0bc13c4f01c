"""What the yardsticks say on the averages of annotated recordings, beside what the experts said."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from unittest.mock import patch

import numpy as np

from benchmarks.accuracy.annotated import (
    Annotated,
    FloatArray,
    Part,
    Wave,
    read_ludb,
    read_qtdb,
    stretch_around_marks,
)
from couchside.waves import boundaries_p, boundaries_qrs, boundaries_t, edge_rules
from couchside.waves.beats_and_waves import find_beats_and_waves
from couchside.waves.bundle_waves import BundleWaves
from couchside.waves.combine import (
    EdgeRule,
    combine_edges,
    find_base,
    lead_features,
    overall_features,
)
from couchside.waves.filters import ANALYSIS_RATE_HZ, SOFT_RATE_HZ
from couchside.waves.model import IntArray

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
    """Rows for every rule, from LUDB and the QT Database."""
    samples = {name: RuleSamples() for name in BOUNDARIES}
    for annotated, importance in _read_both(folder, part):
        captured = _Captured()
        with captured.listening():
            found = find_beats_and_waves(annotated.recording)
        if found is None:
            continue
        per_ms = annotated.recording.rate_hz / 1000.0
        beats_ms: FloatArray = (found.beats * found.step / per_ms).astype(np.float64)
        for name in BOUNDARIES:
            rows = _Rows(
                name=name,
                annotated=annotated,
                waves=found.waves,
                usable=found.usable,
                bundles=found.bundles,
                beats_ms=beats_ms,
                captured=captured,
            )
            rows.add_to(samples[name], importance)
    return samples


def reference_offsets(
    annotated: Annotated, wave: Wave, side: str, beats_ms: FloatArray
) -> FloatArray:
    """Reference boundary from the detection point of its beat, ms, shape (lead, beat)."""
    per_ms = annotated.recording.rate_hz / 1000.0
    found = np.full((len(annotated.marks), beats_ms.shape[0]), np.nan)
    for lead, marks in enumerate(annotated.marks):
        for mark in marks:
            boundary = getattr(mark, side) / per_ms
            if mark.wave is not wave or np.isnan(boundary):
                continue
            beat = _find_beat(mark.peak / per_ms - beats_ms, wave)
            if beat is not None:
                found[lead, beat] = boundary - beats_ms[beat]
    return found


def overall_reference(offsets: FloatArray, sign: float) -> FloatArray:
    """Reference over all leads of each beat, ms; NaN where too few leads are marked."""
    known = np.isfinite(offsets).sum(axis=0)
    ordered = np.sort(sign * offsets, axis=0)
    least = min(LEAST_LEADS, offsets.shape[0])
    back = _SECOND if offsets.shape[0] >= LEAST_LEADS else 0
    place = np.clip(known - 1 - back, 0, None)
    outermost = sign * np.take_along_axis(ordered, place[None], axis=0)[0]
    return np.where(known >= least, outermost, np.nan)


class _Captured:
    """Takes down what `combine_edges` was given and gave, rule by rule."""

    def __init__(self) -> None:
        self.edges: dict[str, FloatArray] = {}
        self.lead: dict[str, FloatArray] = {}
        self.overall: dict[str, FloatArray] = {}

    def combine(self, edges: FloatArray, rule: EdgeRule) -> tuple[FloatArray, FloatArray]:
        name = next(name for name in BOUNDARIES if getattr(edge_rules, name) is rule)
        lead, overall = combine_edges(edges, rule)
        self.edges[name], self.lead[name], self.overall[name] = edges, lead, overall
        return lead, overall

    @contextmanager
    def listening(self) -> Iterator[None]:
        with ExitStack() as stack:
            for module in (boundaries_p, boundaries_qrs, boundaries_t):
                stack.enter_context(patch.object(module, "combine_edges", self.combine))
            yield


@dataclass(frozen=True, kw_only=True)
class _Rows:
    name: str
    annotated: Annotated
    waves: BundleWaves
    usable: IntArray
    bundles: list[IntArray]
    beats_ms: FloatArray
    captured: _Captured

    def add_to(self, samples: RuleSamples, importance: float) -> None:
        wave, side, rate_hz = BOUNDARIES[self.name]
        sign = -1.0 if side == "onset" else 1.0
        bounds = {Wave.P: self.waves.p, Wave.QRS: self.waves.qrs, Wave.T: self.waves.t}[wave]
        lag = {Wave.P: self.waves.p_lag_ms, Wave.T: self.waves.t_lag_ms}.get(wave)
        reference = reference_offsets(self.annotated, wave, side, self.beats_ms)[self.usable]
        reference = reference - (0.0 if lag is None else lag)
        together = overall_reference(reference, sign)
        per_ms = rate_hz / 1000.0
        edges = self.captured.edges[self.name]
        middle = getattr(bounds, side) - sign * self.captured.lead[self.name] / per_ms
        whole = (
            getattr(bounds, f"overall_{side}") - sign * self.captured.overall[self.name] / per_ms
        )
        base = find_base(edges)
        per_lead, over_all = lead_features(edges), overall_features(edges)
        for number, members in enumerate(self.bundles):
            for lead in range(reference.shape[0]):
                known = reference[lead, members]
                known = known[np.isfinite(known)]
                target = sign * (np.median(known) if known.size else np.nan)
                target = (target - sign * middle[number, lead]) * per_ms - base[number]
                if np.isfinite(target):
                    weight = importance * min(known.size, _FULL_BEATS) / _FULL_BEATS
                    samples.lead.add(per_lead[number, lead], target, weight, self.annotated.name)
            known = together[members]
            known = known[np.isfinite(known)]
            target = sign * (np.median(known) if known.size else np.nan)
            target = (target - sign * whole[number]) * per_ms - base[number]
            if np.isfinite(target):
                weight = (
                    importance * OVERALL_IMPORTANCE * min(known.size, _FULL_BEATS) / _FULL_BEATS
                )
                samples.overall.add(over_all[number], target, weight, self.annotated.name)


def _read_both(folder: Path, part: Part) -> Iterator[tuple[Annotated, float]]:
    for annotated in read_ludb(folder, part):
        yield annotated, 1.0
    for annotated in read_qtdb(folder, part):
        yield stretch_around_marks(annotated, STRETCH_MARGIN_S), QTDB_IMPORTANCE


_REACH_MS = {Wave.P: (-600.0, 0.0), Wave.QRS: (-120.0, 120.0), Wave.T: (0.0, 700.0)}
"""How far from the detection point a wave's peak may lie to belong to that beat."""


def _find_beat(distance_ms: FloatArray, wave: Wave) -> int | None:
    """The nearest beat on whose proper side a marked peak lies."""
    low, high = _REACH_MS[wave]
    possible = np.where((distance_ms > low) & (distance_ms < high), np.abs(distance_ms), np.inf)
    beat = int(np.argmin(possible))
    return beat if np.isfinite(possible[beat]) else None
