"""The rhythm in numbers: RR intervals, their range and irregularity, pauses, early and wide beats.

Everything here describes measurements; none of it names a rhythm.
"""

from __future__ import annotations

import numpy as np

from couchside.measures.early_beats import find_steady, find_usual_rr_ms
from couchside.measures.rhythm_model import BeatGroup, BeatNote, Rhythm, RrInterval
from couchside.waves.filters import BoolArray
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray
from couchside.waves.series import BeatSeries

PAUSE_MS = 2000.0
"""RR intervals from here on are listed (common practice, from memory)."""
EARLY_SHARE = 0.20
"""A beat that comes so much sooner than usual is early (common practice, from memory)."""
WIDE_MS = 120.0
WIDER_MS = 20.0
"""A wide beat's QRS has 120 ms, from memory, and 20 ms more than the leading group's
[AHA2009-III]."""
MOST_LISTED = 500
"""Pauses and notes are counted in full and listed up to here, so that a day stays printable."""


def measure_rhythm(series: BeatSeries) -> Rhythm:
    """Describe the RR intervals and the beats that stand out.

    Parameters
    ----------
    series : BeatSeries
        Beats of 10 s or of a day.

    Returns
    -------
    Rhythm
        With the reason where no RR interval is known. Intervals over a stretch without signal are
        left out: beats may be missing there.

    Notes
    -----
    Variation is SD / mean of all RR; RMSSD the root of the mean squared difference of successive RR
    [HRV1996]. A beat is early by 1 − RR / usual RR (see `find_usual_rr_ms`), told from 20 % on and
    only where the rhythm around it is steady; wide with a QRS of 120 ms or more that is at least
    20 ms longer than the leading group's.
    """
    known = series.rr_is_known
    beat_count = int(series.times_s.size)
    if not known.any():
        return Rhythm(
            beat_count=beat_count, reason=_explain(beat_count), groups=_count_groups(series)
        )
    rr_ms = np.diff(series.times_s) * 1000.0
    known_ms, places = rr_ms[known], np.flatnonzero(known)
    mean_ms = float(known_ms.mean())
    steps_ms = np.diff(rr_ms)[known[1:] & known[:-1]]
    pauses = places[known_ms >= PAUSE_MS]
    bridged_ms = np.where(known, rr_ms, median_of_rows(known_ms))
    usual_ms = find_usual_rr_ms(bridged_ms)
    steady = find_steady(bridged_ms, usual_ms, series.groups) & known
    note_count, notes = _find_notes(series, 1.0 - bridged_ms / usual_ms, steady)
    return Rhythm(
        beat_count=beat_count,
        rr_ms=known_ms,
        rr_from_s=series.times_s[places],
        mean_rr_ms=mean_ms,
        shortest=_interval(series, rr_ms, places[known_ms.argmin()]),
        longest=_interval(series, rr_ms, places[known_ms.argmax()]),
        variation=float(known_ms.std() / mean_ms),
        rmssd_ms=float(np.sqrt(np.mean(np.square(steps_ms)))) if steps_ms.size else None,
        irregular_share=float(1.0 - steady[known].mean()) if rr_ms.size > 3 else None,
        pause_count=pauses.size,
        pauses=tuple(_interval(series, rr_ms, number) for number in pauses[:MOST_LISTED]),
        note_count=note_count,
        notes=notes,
        groups=_count_groups(series),
    )


def _explain(beat_count: int) -> str:
    few = {0: "no beats were found", 1: "only one beat was found"}
    return few.get(beat_count, "the recording holds no signal between the beats")


def _find_notes(
    series: BeatSeries, early_shares: FloatArray, steady: BoolArray
) -> tuple[int, tuple[BeatNote, ...]]:
    """How many beats stand out, and the first of them."""
    early = np.zeros(series.times_s.size)
    early[1:] = np.where(steady & (early_shares >= EARLY_SHARE), early_shares, 0.0)
    leading_ms = series.qrs_ms[series.groups == 0]
    leading_ms = leading_ms[np.isfinite(leading_ms)]
    usual_ms = float(median_of_rows(leading_ms)) if leading_ms.size else 0.0
    is_wide = series.qrs_ms >= max(WIDE_MS, usual_ms + WIDER_MS)
    noted = np.flatnonzero((early > 0) | is_wide)
    return noted.size, tuple(
        BeatNote(
            at_s=float(series.times_s[beat]),
            early_share=float(early[beat]) or None,
            qrs_ms=float(series.qrs_ms[beat]) if is_wide[beat] else None,
        )
        for beat in noted[:MOST_LISTED]
    )


def _interval(series: BeatSeries, rr_ms: FloatArray, number: np.int64) -> RrInterval:
    return RrInterval(from_s=float(series.times_s[number]), rr_ms=float(rr_ms[number]))


def _count_groups(series: BeatSeries) -> tuple[BeatGroup, ...]:
    groups = []
    for number in np.flatnonzero(np.bincount(series.groups)).tolist():
        qrs_ms = series.qrs_ms[series.groups == number]
        finite = qrs_ms[np.isfinite(qrs_ms)]
        groups.append(
            BeatGroup(
                number=number,
                count=int(qrs_ms.size),
                qrs_ms=float(median_of_rows(finite)) if finite.size else None,
            )
        )
    return tuple(sorted(groups, key=lambda group: (-group.count, group.number)))
