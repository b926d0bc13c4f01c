"""P onset, peak and end, and whether there is a P wave at all.

A P wave is there where the beats of a bundle agree on a deflection ahead of the QRS far better than
their own scatter explains. Fibrillation waves are as large as P waves, but they do not keep step
with the QRS, so that their mean is no larger than chance makes it. Where RR is uneven, single beats
must also be like one another (see `MOST_LIKENESS`). Flutter waves may keep step;
they are told by their repetition (`flutter`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from couchside.waves.agreement import Agreement
from couchside.waves.bounds import BundleBounds
from couchside.waves.clip import clip
from couchside.waves.edge_rules import P_OFFSET, P_ONSET
from couchside.waves.edges import Uncrossed
from couchside.waves.filters import BoolArray
from couchside.waves.flutter import find_repeated
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.smooth_waves import (
    BEFORE,
    MS,
    expect,
    find_quiet_speed,
    measure_edges,
    pick_peak,
    place_bounds,
)

BUMP_MS = 48.0
"""A P wave bends most over about twice this time."""
SMOOTHING_HZ = 14.0
AFTER = round(200.0 / MS)
"""A P wave peaks before so many samples after the detection point."""
_SHARES = (0.06, 0.12, 0.25, 0.4)
_STRONG = 0.5
LAST_MS = 28.0
"""The middle lies so long before the QRS onset, or longer."""
_EXPECTED_MS, _EXPECTED_SPREAD = 120.0, 0.75
"""Where the middle is expected before the QRS onset, and how loosely: of two bends of like size the
nearer to it is taken, and the farther one is from it, the larger it must be. A PR of 160 ms less
half a P wave. A wave bends the other way beside itself, with a quarter of its power: expected more
narrowly than by 0.7, a P wave with a PR of 90 ms loses to that side of itself. In one lead or two
of the tuning recordings a third fewer P waves are taken for another bend than without."""
_LONGEST_MS = 400.0
"""The peak lies no longer than this before the QRS onset: PR intervals are rarely longer."""
_BEFORE_FIRST_MS = 20.0
"""The onset may lie so much before the earliest place of the peak."""
_CLEAR_OF_T_MS = 40.0
"""Where the T wave before ends so long before the peak, the P wave starts after that end."""
_LEAST_BEFORE_MS = 48.0
"""With less room before its middle a P wave lies on the T wave before it, and nothing tells where
it begins: at a newborn's 175 beats a minute and more. In sinus rhythm on the tuning recordings
there are 100 or more."""
_REACH_MS, _LIMIT_MS = 100.0, 150.0
_TAIL_MS = 28.0
"""What is steep so shortly after the T wave before belongs to its tail."""
LEAST_AGREEMENT = 10.0
"""Power of the mean deflection over the power that the scatter of the beats leaves in a mean."""
LEAST_AGREEMENT_ALONE = 40.0
"""The same for other bundles where the leading one has no P wave."""
MOST_LIKENESS, EVEN, UNEVEN = 0.8, 0.05, 0.15
"""Where RR changes from beat to beat by more than the second, as a share of itself, beats must be
like one another at the P wave: the more, the more RR changes, up to the first where it changes by
the third. In sinus arrhythmia and after premature atrial beats P keeps its distance to the QRS
whatever RR does, while few fibrillation waves stand alike before two beats. Chosen on simulated
sinus arrhythmia, premature atrial beats, and fine and coarse fibrillation, with and without noise,
and on the tuning records."""
FULL_AGREEMENT = 20.0
"""Agreement that needs no likeness: small P waves in much noise, over many beats. Of 270 recordings
of simulated fibrillation, with and without noise, chance brings none above 13, of the tuning
recordings' fine fibrillation none above 11; coarse fibrillation above it is not to be told so."""
_LIKENESS_MS = 72.0
"""On either side of the middle."""
LEAST_UV = 10.0
"""Least mean deflection, rms over the leads."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """Where a P wave may lie, ms from the detection point, arrays of shape (bundle,).

    Parameters
    ----------
    earliest : array
        The peak lies after this; NaN where there is no T wave before.
    t_end : array
        End of the T wave before, NaN where there is none.
    qrs_onset : array
        The P wave ends before this.
    rr : array
        Usual time to the next beat.
    unevenness : array
        How much RR usually changes from beat to beat, as a share of it.
    """

    earliest: FloatArray
    t_end: FloatArray
    qrs_onset: FloatArray
    rr: FloatArray
    unevenness: FloatArray


def find_p(
    smooth: FloatArray, agreement: Agreement, lead_weights: FloatArray, room: Room
) -> BundleBounds:
    """P boundaries.

    Parameters
    ----------
    smooth : array of shape (bundle, lead, sample)
        The averages at `SOFT_RATE_HZ`, without QRS and below `SMOOTHING_HZ`, in µV; the detection
        point at sample `BEFORE`.
    agreement : Agreement
        Of the beats' bends over `BUMP_MS` (see `bend_rows`), from the same sample to `AFTER`.
    lead_weights : array of shape (lead,)
        How much each lead counts in what all leads say together.
    room : Room
        Where to look.

    Returns
    -------
    BundleBounds
        NaN in a bundle without P waves; where the wave lies on the T wave before it, the onset over
        all leads alone is NaN.
    """
    centre = BEFORE
    qrs_onset = centre + np.rint(room.qrs_onset / MS).astype(np.int64)
    earliest = np.fmax(room.qrs_onset - _LONGEST_MS, room.earliest)
    first = np.maximum(centre + np.rint(earliest / MS).astype(np.int64), 1)
    last = qrs_onset - round(LAST_MS / MS)
    middle, found = locate_p(agreement, lead_weights, first, last, room.unevenness)
    found &= ~find_repeated(agreement, lead_weights, middle, room.rr)
    t_end = np.where(np.isnan(room.t_end), -np.inf, centre + room.t_end / MS)
    onset_after = first - round(_BEFORE_FIRST_MS / MS)
    clear = t_end < middle - _CLEAR_OF_T_MS / MS
    onset_after = np.where(clear, np.maximum(onset_after, t_end), onset_after).astype(np.int64)
    edges = find_p_edges(smooth, lead_weights, middle, onset_after, qrs_onset)
    bounds = place_bounds(smooth, np.where(found, middle, np.nan), edges, (P_ONSET, P_OFFSET))
    crowded = middle - onset_after < _LEAST_BEFORE_MS / MS
    return replace(bounds, overall_onset=np.where(crowded, np.nan, bounds.overall_onset))


def locate_p(
    agreement: Agreement,
    lead_weights: FloatArray,
    first: IntArray,
    last: IntArray,
    unevenness: FloatArray,
) -> tuple[IntArray, BoolArray]:
    """Middle of the P wave between two samples, and whether there is one, each (bundle,)."""
    power = np.einsum("bls,bls,l->bs", agreement.mean, agreement.mean, lead_weights)
    before_qrs_ms = np.maximum((last[:, None] - np.arange(power.shape[1])) * MS + LAST_MS, MS)
    likely = expect(before_qrs_ms, _EXPECTED_MS, _EXPECTED_SPREAD)
    middle, peaked = pick_peak(power, first, last, likely)
    height = np.take_along_axis(power * likely, middle[:, None], axis=1)[:, 0]
    chance = np.take_along_axis(agreement.chance, middle[:, None], axis=1)[:, 0]
    ratio = height / np.maximum(chance, 1e-9)
    there = peaked & (ratio > LEAST_AGREEMENT) & (height > LEAST_UV**2 * lead_weights.sum())
    needed = MOST_LIKENESS * clip((unevenness - EVEN) / (UNEVEN - EVEN), 0.0, 1.0)
    half = round(_LIKENESS_MS / MS)
    for bundle in np.flatnonzero(there & (ratio < FULL_AGREEMENT) & (needed > 0.0)).tolist():
        place = slice(max(middle[bundle] - half, 0), middle[bundle] + half + 1)
        there[bundle] = agreement.find_likeness(bundle, place, lead_weights) > needed[bundle]
    if not there[0]:
        there &= ratio > LEAST_AGREEMENT_ALONE
    return middle, there


def find_p_edges(
    smooth: FloatArray,
    lead_weights: FloatArray,
    middle: IntArray,
    onset_after: IntArray,
    qrs_onset: IntArray,
) -> FloatArray:
    """What each yardstick says, backwards and forwards, (2, bundle, lead + 1, yardstick)."""
    reach, limit = round(_REACH_MS / MS), round(_LIMIT_MS / MS)
    room, room_before = qrs_onset - middle, middle - onset_after
    before_tail = room_before - round(_TAIL_MS / MS)
    return measure_edges(
        smooth,
        lead_weights,
        middle,
        np.stack((clip(before_tail, 4, reach), clip(room, 2, reach))),
        np.stack((clip(room_before, 6, limit), clip(room, 4, limit))),
        shares=_SHARES,
        strong=_STRONG,
        floor=find_quiet_speed(smooth, lead_weights, onset_after, qrs_onset),
        uncrossed=Uncrossed.AT_LOWEST,
    )
