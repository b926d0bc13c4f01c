"""From spoiled leads to causes: leads that one electrode spoils become one finding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.attribution import SOLVABLE_ELECTRODES, Attribution, attribute
from couchside.quality.model import FindingKind
from couchside.quality.signals import Signals
from couchside.quality.spoils import BAND_OF_KIND, Spoil
from couchside.quality.steps import jumps_in_windows
from couchside.quality.windows import Spans
from couchside.recording import ELECTRODES, STANDARD_LEADS, Electrode, get_lead_matrix

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cause:
    """One kind of noise from one place.

    Parameters
    ----------
    kind : FindingKind
        What it is.
    electrodes : tuple of Electrode
        Where it comes from, strongest first; empty where that cannot be told.
    leads : tuple of str
        Leads that it spoils, worst first.
    level_uv : float
        Noise at the electrode where it is known, else in the worst lead.
    weight : float
        How many times the level exceeds what is noticed; orders causes of different kinds.
    confidence : float
        How sure the electrode is, or that there is such noise at all where no electrode is named.
    fit : float
        Share of the noise that electrodes alone explain; 0 where it was not solved for.
    spans_s : tuple of (start, end)
        When; empty means all through.
    """

    kind: FindingKind
    electrodes: tuple[Electrode, ...]
    leads: tuple[str, ...]
    level_uv: float
    weight: float
    confidence: float
    fit: float
    spans_s: Spans


def find_causes(spoil: Spoil, signals: Signals, dead: BoolArray) -> tuple[Cause, ...]:
    """Trace one kind of noise to its electrodes.

    Parameters
    ----------
    spoil : Spoil
        Where that noise is.
    signals : Signals
        The recording.
    dead : array of bool, shape (lead, window)
        Where a lead carries no signal; it is left out.

    Returns
    -------
    tuple of Cause
        One for each electrode at fault, at most three; else one for all leads together. Spoiled
        leads that no electrode explains make one more.
    """
    noticed = spoil.noticed & ~dead
    spoiled = _spoiled_leads(spoil.kind, noticed)
    if not spoiled.any():
        return ()
    windows = np.asarray(noticed[spoiled].any(axis=0))
    solved = _solve(spoil.kind, signals, windows)
    culprits = [] if solved is None else _culprits(solved, spoil.kind)
    if solved is None or not culprits:
        return (_unattributed(spoil, spoiled, windows, signals, solved),)
    if len(culprits) > thresholds.MOST_CULPRITS:
        return (_from_several(spoil, spoiled, windows, signals, solved, culprits),)
    return _from_electrodes(spoil, spoiled, noticed, signals, solved, culprits)


def _spoiled_leads(kind: FindingKind, noticed: BoolArray) -> BoolArray:
    least = 1 if kind == FindingKind.POP else max(1, thresholds.NOTICED_SHARE * noticed.shape[1])
    spoiled: BoolArray = noticed.sum(axis=1) >= least
    return spoiled


def _solve(kind: FindingKind, signals: Signals, windows: BoolArray) -> Attribution | None:
    if kind == FindingKind.POP:
        jumps = jumps_in_windows(signals, windows)
        return attribute(jumps, signals.leads, np.ones(jumps.shape[1], dtype=bool))
    sample_count = signals.microvolts.shape[1]
    index = np.minimum(np.arange(sample_count) // signals.window_samples, len(windows) - 1)
    kept = windows[index] & signals.quiet
    return attribute(signals.noise[BAND_OF_KIND[kind]], signals.leads, kept)


def _culprits(solved: Attribution, kind: FindingKind) -> list[Electrode]:
    """Electrodes that alone would be noticed, strongest first; none where the fit is poor."""
    if solved.fit < thresholds.LEAST_FIT:
        return []
    rms_uv = np.nan_to_num(solved.noise_rms_uv)
    least_uv = thresholds.CULPRIT_SHARE * rms_uv.max()
    if kind != FindingKind.POP:
        least_uv = max(least_uv, thresholds.CULPRIT_LEVEL * thresholds.NOTICED_UV[kind])
    order = np.argsort(-rms_uv)
    return [solved.electrodes[column] for column in order if rms_uv[column] >= least_uv]


def _from_electrodes(
    spoil: Spoil,
    spoiled: BoolArray,
    noticed: BoolArray,
    signals: Signals,
    solved: Attribution,
    culprits: list[Electrode],
) -> tuple[Cause, ...]:
    explained = np.zeros(len(signals.leads), dtype=bool)
    causes = []
    for electrode in culprits:
        reach = _reach_uv(electrode, solved, signals.leads)
        touched = reach >= thresholds.TOUCHED_SHARE * reach.max()
        explained |= touched
        shown = touched & (spoiled | (reach >= thresholds.NOTICED_UV[spoil.kind]))
        leads = [signals.leads[row] for row in np.argsort(-reach, kind="stable") if shown[row]]
        if not leads:
            continue
        own_uv = float(np.nanmax(reach))
        level_uv = _jump_uv(spoil, shown) if spoil.kind == FindingKind.POP else own_uv
        causes.append(
            Cause(
                kind=spoil.kind,
                electrodes=(electrode,),
                leads=tuple(leads),
                level_uv=level_uv,
                weight=level_uv / thresholds.NOTICED_UV[spoil.kind],
                confidence=_confidence(solved, culprits),
                fit=solved.fit,
                spans_s=signals.spans(np.asarray(noticed[shown].any(axis=0))),
            )
        )
    left = spoiled & ~explained
    if left.any():
        causes.append(
            _unattributed(spoil, left, np.asarray(noticed[left].any(axis=0)), signals, None)
        )
    return tuple(causes)


def _from_several(
    spoil: Spoil,
    spoiled: BoolArray,
    windows: BoolArray,
    signals: Signals,
    solved: Attribution,
    culprits: list[Electrode],
) -> Cause:
    cause = _unattributed(spoil, spoiled, windows, signals, solved)
    return Cause(
        kind=cause.kind,
        electrodes=tuple(culprits),
        leads=cause.leads,
        level_uv=cause.level_uv,
        weight=cause.weight,
        confidence=solved.fit,
        fit=solved.fit,
        spans_s=cause.spans_s,
    )


def _unattributed(
    spoil: Spoil,
    spoiled: BoolArray,
    windows: BoolArray,
    signals: Signals,
    solved: Attribution | None,
) -> Cause:
    level_uv = np.where(spoiled, _level_uv(spoil, windows), 0.0)
    worst_uv = float(level_uv.max())
    weight = worst_uv / thresholds.NOTICED_UV[spoil.kind]
    return Cause(
        kind=spoil.kind,
        electrodes=(),
        leads=tuple(signals.leads[row] for row in np.argsort(-level_uv) if spoiled[row]),
        level_uv=worst_uv,
        weight=weight,
        confidence=min(0.95, weight / (weight + 0.5)),
        fit=solved.fit if solved is not None else 0.0,
        spans_s=signals.spans(windows),
    )


def _level_uv(spoil: Spoil, windows: BoolArray) -> FloatArray:
    """One level for each lead over the windows in question."""
    chosen = spoil.level_uv[:, windows]
    if spoil.kind == FindingKind.POP:
        largest: FloatArray = chosen.max(axis=1)
        return largest
    level_uv: FloatArray = np.sqrt(np.mean(chosen**2, axis=1))
    return level_uv


def _jump_uv(spoil: Spoil, shown: BoolArray) -> float:
    return float(spoil.level_uv[shown].max())


def _reach_uv(electrode: Electrode, solved: Attribution, leads: tuple[str, ...]) -> FloatArray:
    """What an electrode's noise makes in each lead, shape (lead,); 0 in leads of no known formula."""
    known = [row for row, name in enumerate(leads) if name in STANDARD_LEADS]
    weights = get_lead_matrix(tuple(leads[row] for row in known))[:, ELECTRODES.index(electrode)]
    reach = np.zeros(len(leads))
    own_uv = solved.noise_rms_uv[SOLVABLE_ELECTRODES.index(electrode)]
    reach[known] = np.abs(weights) * own_uv
    return reach


def _confidence(solved: Attribution, culprits: list[Electrode]) -> float:
    """How well electrodes explain the noise, and how far these stand above all others."""
    rms_uv = np.nan_to_num(solved.noise_rms_uv)
    blamed = np.array([electrode in culprits for electrode in solved.electrodes])
    strongest_other = float(rms_uv[~blamed].max(initial=0.0))
    weakest_blamed = float(rms_uv[blamed].min())
    return float(np.clip(solved.fit * (1.0 - (strongest_other / weakest_blamed) ** 2), 0.0, 1.0))
