"""One kind of noise in one recording, looked at as leads and as the sources behind them."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.blame import NO_BLAME, Blame, find_blame
from couchside.quality.model import FindingKind
from couchside.quality.moments import Moments
from couchside.quality.signals import Signals
from couchside.quality.sources import list_sources, source_weights
from couchside.quality.spoils import BAND_OF_KIND, Spoil
from couchside.quality.steps import jumps_in_windows

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """One kind of noise in one recording; `spoiled` is (lead,), `noticed` is (lead, window)."""

    spoil: Spoil
    spoiled: BoolArray
    noticed: BoolArray
    signals: Signals

    @property
    def kind(self) -> FindingKind:
        """What noise it is."""
        return self.spoil.kind

    @property
    def windows(self) -> BoolArray:
        """Windows in which it is noticed in a spoiled lead, shape (window,)."""
        return np.asarray(self.noticed[self.spoiled].any(axis=0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """What one source brings in.

    Parameters
    ----------
    source : str
        As `couchside.quality.sources` names it.
    level_uv : float
        Its noise while it is there: rms, or the largest jump.
    windows : array of bool, shape (window,)
        When it is there.
    """

    source: str
    level_uv: float
    windows: BoolArray


def weigh_scene(scene: Scene, chosen: tuple[str, ...]) -> Moments:
    """Moments of its noise in the chosen leads.

    Of jumps, the one jump of each window in which it is noticed alone counts.
    """
    signals = scene.signals
    rows = [signals.leads.index(name) for name in chosen]
    if scene.kind != FindingKind.POP:
        return signals.moments[BAND_OF_KIND[scene.kind]].among(rows)
    jumps = jumps_in_windows(signals, scene.windows, scene.spoiled)[rows]
    sums = np.zeros((len(scene.windows), len(rows), len(rows)))
    sums[scene.windows] = np.einsum("iw,jw->wij", jumps, jumps)
    return Moments(sums=sums, counts=scene.windows.astype(np.float64), weighed=scene.windows)


def blame_by_window(scene: Scene, moments: Moments, chosen: tuple[str, ...]) -> Blame:
    """Blame one source for each window, where they are at fault by turns.

    Returns
    -------
    Blame
        The sources that explain at least two windows each, up to as many as may be blamed together,
        if between them they explain most of the windows; else none.
    """
    found: dict[str, list[Blame]] = {}
    windows = np.flatnonzero(scene.windows)
    for window in windows[: thresholds.MOST_WINDOWS_BLAMED]:
        covariance = moments.sums[window] / moments.counts[window]
        blame = find_blame(covariance, chosen, inf)
        for source in blame.sources[:1]:
            found.setdefault(source, []).append(blame)
    often = {source: blames for source, blames in found.items() if len(blames) > 1}
    told = sum(map(len, often.values()))
    if len(often) > thresholds.MOST_CULPRITS or told < thresholds.BLAMED_WINDOWS * len(windows):
        return NO_BLAME
    return _gather(often)


def _gather(often: dict[str, list[Blame]]) -> Blame:
    if not often:
        return NO_BLAME
    levels = {
        source: float(np.sqrt(np.mean([each.source_rms_uv[0] ** 2 for each in blames])))
        for source, blames in often.items()
    }
    order = sorted(levels, key=lambda source: -levels[source])
    every = [blame for blames in often.values() for blame in blames]
    return Blame(
        sources=tuple(order),
        source_rms_uv=np.array([levels[source] for source in order]),
        share=float(np.mean([blame.share for blame in every])),
        confidence=float(np.mean([blame.confidence for blame in every])),
    )


def follow_sources(
    scene: Scene, moments: Moments, blame: Blame, chosen: tuple[str, ...]
) -> tuple[Course, ...]:
    """When and how much each blamed source brings in, if no other source does."""
    every = list_sources(chosen)
    columns = source_weights(chosen)[:, [every.index(source) for source in blame.sources]]
    unmixing = np.linalg.pinv(columns).astype(np.float64)
    levels_uv = np.nan_to_num(moments.rms_of_sums_uv(unmixing))
    least_uv = np.minimum(
        thresholds.NOTICED_UV[scene.kind], thresholds.TRACED_SHARE * levels_uv.max(axis=1)
    )
    there = (levels_uv >= least_uv[:, None]) & scene.windows
    return tuple(
        Course(source=source, level_uv=_level_uv(scene.kind, row[when]), windows=when)
        for source, row, when in zip(blame.sources, levels_uv, there, strict=True)
        if when.any()
    )


def _level_uv(kind: FindingKind, levels_uv: FloatArray) -> float:
    if kind == FindingKind.POP:
        return float(levels_uv.max())
    return float(np.sqrt(np.mean(levels_uv**2)))
