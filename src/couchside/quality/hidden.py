"""What a fault hides: waves in leads, told from their height, and measures of the whole."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind, Hidden, Reading
from couchside.recording import LIMB_LEADS, Lead
from couchside.waves.model import RepresentativeBeat, Waves

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
    lost = {what: _find_lost(what, cause, waves) for what in _WAVES}
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


def _find_lost(what: Reading, cause: Cause, waves: Waves) -> tuple[str, ...]:
    """The cause's leads in which a wave cannot be read."""
    of_level = _spread_of_level(what, cause.kind)
    if of_level == 0.0:
        return ()
    bearable_uv = (
        [2.0 * thresholds.ST_SHIFT_UV] * len(cause.leads)
        if what == Reading.ST_LEVEL
        else _bearable_uv(what, cause.leads, waves)
    )
    in_leads = zip(cause.leads, cause.lead_levels_uv, bearable_uv, strict=True)
    return tuple(name for name, level_uv, most_uv in in_leads if of_level * level_uv > most_uv)


def _spread_of_level(what: Reading, kind: FindingKind) -> float:
    """Peak to peak of a noise over its level, as far as the wave is concerned; 0 where not."""
    if kind == FindingKind.WANDER:
        return 2.0 * thresholds.WANDER_ST_SHARE if what == Reading.ST_LEVEL else 0.0
    return 1.0 if kind == FindingKind.POP else thresholds.PEAK_TO_PEAK_OVER_RMS


def _bearable_uv(what: Reading, leads: tuple[str, ...], waves: Waves) -> list[float]:
    """Up to which noise, peak to peak, a wave can still be read in each lead."""
    heights_uv = _heights_uv(what, waves)
    share = thresholds.QRS_HIDDEN_SHARE if what == Reading.QRS else thresholds.P_HIDDEN_SHARE
    return [share * heights_uv.get(name, _USUAL_UV[what]) for name in leads]


_USUAL_UV = {
    Reading.QRS: thresholds.USUAL_QRS_UV,
    Reading.P_WAVE: thresholds.USUAL_P_UV,
    Reading.T_WAVE: thresholds.USUAL_T_UV,
}


def _heights_uv(what: Reading, waves: Waves) -> dict[str, float]:
    """Height of a wave in each lead in which it was measured."""
    beat = waves.representative
    if beat is None:
        return {}
    if what == Reading.QRS:
        return _qrs_heights_uv(beat)
    peaks = (beat.p if what == Reading.P_WAVE else beat.t).peak
    found = np.flatnonzero(np.isfinite(peaks))
    heights_uv = np.abs(beat.microvolts[found, peaks[found].astype(np.int64)])
    read_uv = np.maximum(heights_uv, thresholds.SMALLEST_P_UV).tolist()
    return {beat.leads[row]: height for row, height in zip(found.tolist(), read_uv, strict=True)}


def _qrs_heights_uv(beat: RepresentativeBeat) -> dict[str, float]:
    onset, offset = beat.overall.qrs_onset, beat.overall.qrs_offset
    if not (np.isfinite(onset) and np.isfinite(offset)) or offset <= onset:
        return {}
    qrs = beat.microvolts[:, int(onset) : int(offset) + 1]
    return dict(zip(beat.leads, np.ptp(qrs, axis=1).tolist(), strict=True))


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
