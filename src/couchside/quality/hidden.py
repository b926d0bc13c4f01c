"""Which waves a noise hides in which lead, told from their height in the representative beat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.waves.model import RepresentativeBeat, Waves

FloatArray = NDArray[np.float64]

ST_LEVEL = "the ST level"
SLOW_KINDS = frozenset({FindingKind.WANDER})
"""These shift the level between two waves; they cover no wave by themselves."""


def name_what_is_hidden(
    kind: FindingKind, level_uv: float, leads: tuple[str, ...], waves: Waves
) -> tuple[str, tuple[str, ...]]:
    """What of the tracing a noise makes untrustworthy.

    Parameters
    ----------
    kind : FindingKind
        Kind of noise.
    level_uv : float
        Its rms in the worst lead, in µV.
    leads : tuple of str
        Where it is, worst first.
    waves : Waves
        For the height of P and QRS in each lead.

    Returns
    -------
    tuple of (str, tuple of str)
        ``"the P wave"``, ``"the ST level"`` or ``"the beats"``, and the leads; empty texts where
        nothing that a reader needs is hidden.
    """
    spread_uv = thresholds.PEAK_TO_PEAK_OVER_RMS * level_uv
    heights = {name: _heights_uv(name, waves) for name in leads}
    beats = tuple(
        name for name, (_, qrs) in heights.items() if spread_uv > thresholds.QRS_HIDDEN_SHARE * qrs
    )
    if len(beats) > len(leads) / 2 and kind not in SLOW_KINDS:
        return "the beats", beats
    if kind in SLOW_KINDS:
        return ST_LEVEL, leads
    small = tuple(
        name for name, (p, _) in heights.items() if spread_uv > thresholds.P_HIDDEN_SHARE * p
    )
    return ("the P wave", small) if small else ("", ())


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
