"""What a fault hides: waves in leads, told from their height, and measures of the whole."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind, Hidden, Reading
from couchside.recording import LIMB_LEADS, Lead
from couchside.waves.model import RepresentativeBeat, WaveBounds, Waves

FloatArray = NDArray[np.float64]

_WAVES = (Reading.QRS, Reading.ST_LEVEL, Reading.P_WAVE, Reading.T_WAVE)
"""Weightiest first."""


def find_hidden(cause: Cause, recorded: tuple[str, ...], waves: Waves) -> tuple[Hidden, ...]:
    """What of the reading one noise makes untrustworthy.

    Parameters
    ----------
    cause : Cause
        With its level in each lead; a jump is counted as its height, other noise by its rms.
    recorded : tuple of str
        The leads of the recording.
    waves : Waves
        For the height of P, QRS and T in each lead.

    Returns
    -------
    tuple of Hidden
        Waves in leads, weightiest first, for as long as the noise is there; then measures of the
        whole, where it is there nearly all the time. Empty where the reading would be the same.
    """
    levels_uv = dict(zip(cause.leads, cause.lead_levels_uv, strict=True))
    lost = {
        what: tuple(name for name in cause.leads if _is_hidden(what, name, levels_uv, cause, waves))
        for what in _WAVES
    }
    in_leads = tuple(Hidden(what=what, leads=names) for what, names in lost.items() if names)
    if cause.windows.mean() < thresholds.MEASURES_HIDDEN_SHARE:
        return in_leads
    return (*in_leads, *_hidden_measures(lost, recorded))


def hidden_by_loss(leads: tuple[str, ...], recorded: tuple[str, ...]) -> tuple[Hidden, ...]:
    """What is lost with all waves of some leads."""
    if not leads:
        return ()
    lost = dict.fromkeys(_WAVES, leads)
    return (Hidden(what=Reading.EVERYTHING, leads=leads), *_hidden_measures(lost, recorded))


def gather(hides: Iterable[Hidden]) -> tuple[Hidden, ...]:
    """Join what several causes of one finding hide, each wave once."""
    leads: dict[Reading, tuple[str, ...]] = {}
    for each in hides:
        before = leads.get(each.what, ())
        leads[each.what] = (*before, *(name for name in each.leads if name not in before))
    order = list(leads)
    order.sort(key=lambda what: what not in {Reading.EVERYTHING, *_WAVES})
    return tuple(Hidden(what=what, leads=leads[what]) for what in order)


def _is_hidden(
    what: Reading, name: str, levels_uv: dict[str, float], cause: Cause, waves: Waves
) -> bool:
    level_uv = levels_uv[name]
    if cause.kind == FindingKind.WANDER:
        shift_uv = thresholds.WANDER_ST_SHARE * level_uv
        return what == Reading.ST_LEVEL and shift_uv > thresholds.ST_SHIFT_UV
    is_jump = cause.kind == FindingKind.POP
    spread_uv = level_uv * (1.0 if is_jump else thresholds.PEAK_TO_PEAK_OVER_RMS)
    if what == Reading.ST_LEVEL:
        return spread_uv > 2.0 * thresholds.ST_SHIFT_UV
    return spread_uv > _bearable_uv(what, name, waves)


def _bearable_uv(what: Reading, name: str, waves: Waves) -> float:
    """Up to which noise, peak to peak, a wave can still be read in a lead."""
    beat = waves.representative
    row = None if beat is None or name not in beat.leads else beat.leads.index(name)
    if what == Reading.QRS:
        usual_uv, share = thresholds.USUAL_QRS_UV, thresholds.QRS_HIDDEN_SHARE
        return share * (usual_uv if beat is None or row is None else _qrs_uv(beat, row))
    usual_uv = thresholds.USUAL_P_UV if what == Reading.P_WAVE else thresholds.USUAL_T_UV
    if beat is None or row is None:
        return usual_uv
    bounds = beat.p if what == Reading.P_WAVE else beat.t
    return thresholds.P_HIDDEN_SHARE * _height_uv(beat, bounds, row, usual_uv)


def _height_uv(beat: RepresentativeBeat, bounds: WaveBounds, row: int, usual_uv: float) -> float:
    peak = bounds.peak[row]
    if not np.isfinite(peak):
        return usual_uv
    return max(float(abs(beat.microvolts[row, int(peak)])), thresholds.SMALLEST_P_UV)


def _qrs_uv(beat: RepresentativeBeat, row: int) -> float:
    onset, offset = beat.overall.qrs_onset, beat.overall.qrs_offset
    if not (np.isfinite(onset) and np.isfinite(offset)) or offset <= onset:
        return thresholds.USUAL_QRS_UV
    return float(np.ptp(beat.microvolts[row, int(onset) : int(offset) + 1]))


def _hidden_measures(
    lost: dict[Reading, tuple[str, ...]], recorded: tuple[str, ...]
) -> tuple[Hidden, ...]:
    """Measures of the whole that rest on waves lost in too many leads."""
    told = []
    for what, wave, among in _RESTS_ON:
        leads = [name for name in recorded if among is None or name in among]
        gone = set(lost[wave]) & set(leads)
        if leads and len(gone) > thresholds.LEADS_FOR_MEASURE * len(leads):
            told.append(Hidden(what=what))
    return tuple(told)


_FRONTAL = frozenset(map(str, LIMB_LEADS))
_WHERE_P_IS_READ = frozenset({str(Lead.II), str(Lead.V1)})
_RESTS_ON: tuple[tuple[Reading, Reading, frozenset[str] | None], ...] = (
    (Reading.RHYTHM, Reading.QRS, None),
    (Reading.PR_INTERVAL, Reading.P_WAVE, _WHERE_P_IS_READ),
    (Reading.QRS_DURATION, Reading.QRS, None),
    (Reading.QT_INTERVAL, Reading.T_WAVE, None),
    (Reading.P_AXIS, Reading.P_WAVE, _FRONTAL),
    (Reading.AXIS, Reading.QRS, _FRONTAL),
)
"""A measure, the wave that it rests on, and the leads in which it is read (common practice)."""
