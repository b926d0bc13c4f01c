"""From spoiled leads to causes: leads that one electrode spoils become one finding."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.attribution import Attribution, solve_powers
from couchside.quality.blame import Blame, find_blame
from couchside.quality.common_mode import is_common
from couchside.quality.model import FindingKind
from couchside.quality.moments import Moments
from couchside.quality.scene import Course, Scene, blame_by_window, follow_sources, weigh_scene
from couchside.quality.signals import Signals
from couchside.quality.sources import choose_leads, list_sources, source_weights
from couchside.quality.spoils import Spoil
from couchside.quality.windows import Spans
from couchside.recording import Electrode

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
    lead_levels_uv : tuple of float
        Noise in each of these leads.
    level_uv : float
        Noise at the electrode where it is known, else in the worst lead.
    weight : float
        How many times the level exceeds what is noticed; orders causes of different kinds.
    confidence : float
        By how much the electrode explains more than the next best choice, or how sure it is that
        there is such noise at all where no electrode is named.
    fit : float
        Share of the noise that electrodes alone explain; 0 where it was not solved for.
    blamed : int
        How many electrodes were blamed together for this kind; 0 where none could be told.
    windows : array of bool, shape (window,)
        When, window by window.
    spans_s : tuple of (start, end)
        When; empty means all through.
    """

    kind: FindingKind
    electrodes: tuple[Electrode, ...]
    leads: tuple[str, ...]
    lead_levels_uv: tuple[float, ...]
    level_uv: float
    weight: float
    confidence: float
    fit: float
    blamed: int
    windows: BoolArray
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
        One for each electrode at fault, at most three at a time; else one for all leads together.
        Spoiled leads that no electrode explains make one more.
    """
    noticed = spoil.noticed & ~dead
    spoiled = _spoiled_leads(spoil.kind, noticed)
    if not spoiled.any():
        return _faint(spoil, signals, dead)
    scene = Scene(spoil=spoil, spoiled=spoiled, noticed=noticed, signals=signals)
    chosen = choose_leads(signals.leads)
    if chosen is None:
        return (_unattributed(scene, spoiled),)
    moments = weigh_scene(scene, chosen)
    covariance = moments.covariance(scene.windows)
    if spoil.kind == FindingKind.MAINS and is_common(covariance, chosen):
        return (_from_right_leg(scene),)
    blame = find_blame(covariance, chosen, _least_uv(spoil.kind))
    if blame.sources:
        return _from_sources(scene, moments, blame, chosen)
    by_turns = blame_by_window(scene, moments, chosen)
    if by_turns.sources:
        return _from_sources(scene, moments, by_turns, chosen)
    return (_from_everywhere(scene, solve_powers(covariance, chosen)),)


def _faint(spoil: Spoil, signals: Signals, dead: BoolArray) -> tuple[Cause, ...]:
    """Noise too small to be noticed by itself, yet surely of one electrode, so not the heart."""
    chosen = choose_leads(signals.leads)
    if chosen is None or spoil.kind not in thresholds.TRACED_UV:
        return ()
    noticed = (spoil.level_uv > thresholds.TRACED_UV[spoil.kind]) & ~dead
    spoiled = _spoiled_leads(spoil.kind, noticed)
    if not spoiled.any():
        return ()
    scene = Scene(spoil=spoil, spoiled=spoiled, noticed=noticed, signals=signals)
    moments = weigh_scene(scene, chosen)
    blame = find_blame(moments.covariance(scene.windows), chosen, _least_uv(spoil.kind))
    sure = (
        len(blame.sources) == 1
        and blame.share >= thresholds.FAINT_SHARE
        and blame.confidence >= thresholds.FAINT_MARGIN
    )
    return _from_sources(scene, moments, blame, chosen) if sure else ()


def _spoiled_leads(kind: FindingKind, noticed: BoolArray) -> BoolArray:
    least = 1 if kind == FindingKind.POP else max(1, thresholds.NOTICED_SHARE * noticed.shape[1])
    spoiled: BoolArray = noticed.sum(axis=1) >= least
    return spoiled


def _least_uv(kind: FindingKind) -> float:
    return thresholds.CULPRIT_LEVEL * thresholds.NOTICED_UV[kind]


def _from_sources(
    scene: Scene, moments: Moments, blame: Blame, chosen: tuple[str, ...]
) -> tuple[Cause, ...]:
    """One cause for each source, and one more for spoiled leads that none of them reaches."""
    leads = scene.signals.leads
    explained = np.zeros(len(leads), dtype=bool)
    causes = []
    weights = np.abs(source_weights(leads))
    every_source = list_sources(leads)
    for course in follow_sources(scene, moments, blame, chosen):
        reach_uv = weights[:, every_source.index(course.source)] * course.level_uv
        touched = reach_uv >= thresholds.TOUCHED_SHARE * reach_uv.max()
        explained |= touched
        shown = touched & (scene.spoiled | (reach_uv >= thresholds.NOTICED_UV[scene.spoil.kind]))
        if (shown & scene.spoiled).any():
            causes.append(_from_one(scene, blame, course, np.where(shown, reach_uv, 0.0)))
    left = scene.spoiled & ~explained
    return (*causes, *((_unattributed(scene, left),) if left.any() else ()))


def _from_one(scene: Scene, blame: Blame, course: Course, reach_uv: FloatArray) -> Cause:
    """What one source does; one beside the ten electrodes is told by its leads alone."""
    level_uv = float(reach_uv.max())
    order = [row for row in np.argsort(-reach_uv, kind="stable") if reach_uv[row] > 0.0]
    known = isinstance(course.source, Electrode)
    return Cause(
        kind=scene.spoil.kind,
        electrodes=(Electrode(course.source),) if known else (),
        leads=tuple(scene.signals.leads[row] for row in order),
        lead_levels_uv=tuple(float(reach_uv[row]) for row in order),
        level_uv=level_uv,
        weight=level_uv / thresholds.NOTICED_UV[scene.spoil.kind],
        confidence=float(np.clip(blame.confidence, 0.0, 1.0)),
        fit=blame.share,
        blamed=len(blame.sources) if known else 0,
        windows=course.windows,
        spans_s=scene.signals.spans(course.windows),
    )


def _from_everywhere(scene: Scene, solved: Attribution) -> Cause:
    """Noise of more than three electrodes at once, or of none that can be told."""
    cause = _unattributed(scene, scene.spoiled)
    rms_uv = np.nan_to_num(solved.noise_rms_uv)
    culprits = tuple(
        solved.electrodes[column]
        for column in np.argsort(-rms_uv)
        if rms_uv[column] >= max(_least_uv(cause.kind), thresholds.CULPRIT_SHARE * rms_uv.max())
    )
    if solved.fit < thresholds.LEAST_FIT or len(culprits) <= thresholds.MOST_CULPRITS:
        return cause
    return replace(
        cause,
        electrodes=culprits,
        confidence=solved.fit,
        fit=solved.fit,
        blamed=len(culprits),
    )


def _from_right_leg(scene: Scene) -> Cause:
    return replace(
        _unattributed(scene, scene.spoiled),
        electrodes=(Electrode.RL,),
        confidence=thresholds.RIGHT_LEG_CONFIDENCE,
    )


def _unattributed(scene: Scene, spoiled: BoolArray) -> Cause:
    windows = np.asarray(scene.noticed[spoiled].any(axis=0))
    level_uv = np.where(spoiled, _level_uv(scene.spoil, windows), 0.0)
    weight = float(level_uv.max()) / thresholds.NOTICED_UV[scene.spoil.kind]
    leads = scene.signals.leads
    order = [row for row in np.argsort(-level_uv, kind="stable") if spoiled[row]]
    return Cause(
        kind=scene.spoil.kind,
        electrodes=(),
        leads=tuple(leads[row] for row in order),
        lead_levels_uv=tuple(float(level_uv[row]) for row in order),
        level_uv=float(level_uv.max()),
        weight=weight,
        confidence=min(0.95, weight / (weight + 0.5)),
        fit=0.0,
        blamed=0,
        windows=windows,
        spans_s=scene.signals.spans(windows),
    )


def _level_uv(spoil: Spoil, windows: BoolArray) -> FloatArray:
    """One level for each lead over the windows in question."""
    chosen = spoil.level_uv[:, windows]
    if spoil.kind == FindingKind.POP:
        largest: FloatArray = chosen.max(axis=1)
        return largest
    level_uv: FloatArray = np.sqrt(np.mean(chosen**2, axis=1))
    return level_uv
