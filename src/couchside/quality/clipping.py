"""Beats whose tops are cut off: the recorder's range ends below them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.signals import Signals
from couchside.quality.wording import name_leads, say_microvolts
from couchside.recording import Lead

FloatArray = NDArray[np.float64]


def check_clipping(signals: Signals, lost_leads: Iterable[str]) -> tuple[Finding, ...]:
    """At most one finding of beats that end at one level as if cut with scissors.

    Parameters
    ----------
    signals : Signals
        The recording.
    lost_leads : iterable of str
        Leads without a signal at some time; their limits are told already.
    """
    limits_uv = _find_limits(signals, frozenset(lost_leads))
    if not limits_uv:
        return ()
    limit_uv = max(map(abs, limits_uv.values()))
    leads = tuple(limits_uv)
    return (
        Finding(
            kind=FindingKind.SATURATED,
            asks=Verdict.RECORD_AGAIN,
            sentence=(
                f"The beats are cut off at {say_microvolts(limit_uv)} in "
                f"{name_leads(leads, signals.leads)}: the recorder's range ends there."
            ),
            remedy="Check the recorder's range and gain, then record again.",
            confidence=thresholds.CUT_CONFIDENCE,
            leads=leads,
            figures={"limit_uv": limit_uv},
            hides=(Hidden(what=Reading.QRS, leads=leads), Hidden(what=Reading.VOLTAGES)),
        ),
    )


def _find_limits(signals: Signals, lost_leads: frozenset[str]) -> dict[str, float]:
    """The level at which each cut lead ends; no measured lead goes beyond the recorder's range."""
    highest, lowest = signals.microvolts.max(axis=1), signals.microvolts.min(axis=1)
    ends_uv = {
        name: ends
        for name, *ends in zip(signals.leads, highest.tolist(), lowest.tolist(), strict=True)
        if name not in lost_leads and name not in _MADE_FROM_I_AND_II
    }
    farthest_uv = max((max(map(abs, ends)) for ends in ends_uv.values()), default=0.0)
    limits_uv = {
        name: _find_limit(signals.microvolts[signals.leads.index(name)], ends)
        for name, ends in ends_uv.items()
        if max(map(abs, ends)) >= farthest_uv
    }
    return {
        name: limit_uv
        for name, limit_uv in limits_uv.items()
        if limit_uv is not None and abs(limit_uv) >= farthest_uv
    }


_MADE_FROM_I_AND_II = frozenset({Lead.III, Lead.AVR, Lead.AVL, Lead.AVF})


def _find_limit(microvolts: FloatArray, ends_uv: Iterable[float]) -> float | None:
    """The end of the lead's own range at which several beats are cut; None where none is.

    The top of a rounded wave that stays within one step of resolution for three samples falls by
    fewer than three steps with the next one; a cut wave falls as steeply as the beat it was.
    """
    for limit_uv in ends_uv:
        if np.count_nonzero(microvolts == limit_uv) < thresholds.CUT_BEATS * thresholds.CUT_SAMPLES:
            continue
        if np.count_nonzero(_cut_tops(microvolts, limit_uv)) >= thresholds.CUT_BEATS:
            return limit_uv
    return None


def _cut_tops(microvolts: FloatArray, limit_uv: float) -> NDArray[np.bool_]:
    """Whether each stay at the limit is long and steep on both sides, shape (stay,)."""
    at_limit = (microvolts == limit_uv).astype(np.int8)
    first, end = np.flatnonzero(np.diff(np.concatenate(([0], at_limit, [0])))).reshape(-1, 2).T
    whole = (first > 0) & (end < len(microvolts)) & (end - first >= thresholds.CUT_SAMPLES)
    first, end = first[whole], end[whole]
    if not first.size:
        return np.zeros(0, dtype=bool)
    fall_uv = np.abs(microvolts[[first - 1, end]] - limit_uv).min(axis=0)
    cut: NDArray[np.bool_] = fall_uv > thresholds.CUT_FALL_STEPS * _step_uv(microvolts)
    return cut


def _step_uv(microvolts: FloatArray) -> float:
    """The lead's resolution, seen from its samples."""
    changes_uv = np.abs(np.diff(microvolts))
    return float(changes_uv.min(initial=np.inf, where=changes_uv > thresholds.LEAST_STEP_UV))
