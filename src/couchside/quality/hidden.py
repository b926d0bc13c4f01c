"""Which waves a noise hides in which lead, told from their height in the representative beat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind
from couchside.waves.model import RepresentativeBeat, Waves

FloatArray = NDArray[np.float64]

ST_LEVEL = "the ST level"
SLOW_KINDS = frozenset({FindingKind.WANDER})
"""These shift the level between two waves; they cover no wave by themselves."""


def name_what_is_hidden(cause: Cause, waves: Waves) -> tuple[str, tuple[str, ...]]:
    """What of the tracing a noise makes untrustworthy.

    Parameters
    ----------
    cause : Cause
        With its level in each lead; a jump is counted as its height, other noise by its rms.
    waves : Waves
        For the height of P and QRS in each lead.

    Returns
    -------
    tuple of (str, tuple of str)
        ``"the P wave"``, ``"the ST level"`` or ``"the beats"``, and the leads; empty where nothing
        that a reader needs is hidden.
    """
    if cause.kind in SLOW_KINDS:
        return ST_LEVEL, cause.leads
    spread = 1.0 if cause.kind == FindingKind.POP else thresholds.PEAK_TO_PEAK_OVER_RMS
    p_lost, qrs_lost = [], []
    for name, level_uv in zip(cause.leads, cause.lead_levels_uv, strict=True):
        p_uv, qrs_uv = _heights_uv(name, waves)
        if spread * level_uv > thresholds.P_HIDDEN_SHARE * p_uv:
            p_lost.append(name)
        if spread * level_uv > thresholds.QRS_HIDDEN_SHARE * qrs_uv:
            qrs_lost.append(name)
    if len(qrs_lost) > len(cause.leads) / 2:
        return "the beats", tuple(qrs_lost)
    return ("the P wave", tuple(p_lost)) if p_lost else ("", ())


def _heights_uv(name: str, waves: Waves) -> tuple[float, float]:
    """Height of P and peak to peak of QRS in a lead; what is usual where they were not found."""
    beat = waves.representative
    if beat is None or name not in beat.leads:
        return thresholds.USUAL_P_UV, thresholds.USUAL_QRS_UV
    row = beat.leads.index(name)
    return _height_at_peak(beat, row), _qrs_height(beat, row)


def _height_at_peak(beat: RepresentativeBeat, row: int) -> float:
    peak = beat.p.peak[row]
    if not np.isfinite(peak):
        return thresholds.USUAL_P_UV
    return max(float(abs(beat.microvolts[row, int(peak)])), thresholds.SMALLEST_P_UV)


def _qrs_height(beat: RepresentativeBeat, row: int) -> float:
    onset, offset = beat.overall.qrs_onset, beat.overall.qrs_offset
    if not (np.isfinite(onset) and np.isfinite(offset)) or offset <= onset:
        return thresholds.USUAL_QRS_UV
    return float(np.ptp(beat.microvolts[row, int(onset) : int(offset) + 1]))
