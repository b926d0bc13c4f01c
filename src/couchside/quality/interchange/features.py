"""A representative beat as nine potentials in 24 places of P, QRS and ST–T."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import INDEPENDENT_LEADS, LIMB_LEADS
from couchside.waves import RepresentativeBeat

FloatArray = NDArray[np.float64]

P_PLACES, QRS_PLACES, T_PLACES = 4, 12, 8
PLACES = P_PLACES + QRS_PLACES + T_PLACES
FEWEST_BEATS = 3
SHORTEST_QRS_S, SHORTEST_T_S, USUAL_T_S = 0.06, 0.15, 0.30
"""ST–T is taken to last so long where its end was not found (from memory)."""
FLAT_UV = 15.0
"""Peak to peak of an independent lead that says nothing; as `FLAT_RANGE_UV` of the thresholds."""
WIDE_QRS_MS = 115.0
"""A little under the 120 ms of the trade, as experts mark QRS wider than it is measured here."""
MOST_UNKNOWN = 2
"""Cables that may be left out; from fewer than seven too little is known (by design)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatFeatures:
    """What the arrangements are scored by.

    Parameters
    ----------
    potentials_uv : array of shape (electrode, place)
        Mean potential of RA, LA, LL, C1..C6 in each place, against the mean of those that are
        known. A place is a quarter of P, a twelfth of QRS or an eighth of ST–T; P stands above the
        line from its onset to its offset. Zero in the places of P where there is none, and NaN at a
        cable whose leads cannot be read.
    has_p : bool
        Whether a P wave was found.
    qrs_ms : float
        How long QRS lasts.
    """

    potentials_uv: FloatArray
    has_p: bool
    qrs_ms: float = 90.0

    def __post_init__(self) -> None:
        copied = self.potentials_uv.copy()
        copied.setflags(write=False)
        object.__setattr__(self, "potentials_uv", copied)

    @property
    def is_wide(self) -> bool:
        """Whether QRS is wide: a bundle branch block, a paced beat and the like."""
        return self.qrs_ms >= WIDE_QRS_MS

    @property
    def unknown(self) -> tuple[int, ...]:
        """Rows of the cables that cannot be read."""
        return tuple(np.flatnonzero(np.isnan(self.potentials_uv[:, 0])).tolist())


def find_features(
    beat: RepresentativeBeat | None, unreadable: Iterable[str] = ()
) -> BeatFeatures | None:
    """Take the features of a beat.

    Parameters
    ----------
    beat : RepresentativeBeat or None
        Of a recording with I, II and V1..V6 at least.
    unreadable : iterable of str
        Leads that cannot be read. Their cable is left out: that of a chest lead, and of two among
        I, II and III the limb cable that they share, against whose noise the other eight stand
        clean once they are taken against each other.

    Returns
    -------
    BeatFeatures or None
        None where one of the eight leads is missing, where more than two cables would be left out
        (a flat chest lead counts) or the limb cable at fault is not known, where fewer than three
        beats were averaged, and where the QRS has no boundaries.
    """
    if beat is None or beat.beat_count < FEWEST_BEATS:
        return None
    if any(name not in beat.leads for name in INDEPENDENT_LEADS):
        return None
    if not (np.isfinite(beat.overall.qrs_onset) and np.isfinite(beat.overall.qrs_offset)):
        return None
    rows = beat.microvolts[[beat.leads.index(name) for name in INDEPENDENT_LEADS]]
    unknown = _find_unknown(rows, frozenset(unreadable))
    if unknown is None or len(unknown) > MOST_UNKNOWN:
        return None
    p = _take_p(rows, beat)
    places = np.zeros((rows.shape[0], PLACES))
    places[:, P_PLACES:] = _take_qrs_t(rows, beat)
    if p is not None:
        places[:, :P_PLACES] = p
    potentials = POTENTIALS_FROM_EIGHT @ places
    potentials -= np.delete(potentials, unknown, axis=0).mean(axis=0)
    potentials[unknown] = np.nan
    return BeatFeatures(
        potentials_uv=potentials,
        has_p=p is not None,
        qrs_ms=1000.0 * (beat.overall.qrs_offset - beat.overall.qrs_onset) / beat.rate_hz,
    )


def _find_unknown(rows: FloatArray, unreadable: frozenset[str]) -> list[int] | None:
    """Rows of the cables to leave out; None where it is not known which limb cable it is."""
    bad_limb = frozenset(map(str, LIMB_LEADS[:3])) & unreadable
    if bad_limb and bad_limb not in _CABLE_OF_PAIR:
        return None
    flat = (np.ptp(rows[2:], axis=1) < FLAT_UV).tolist()
    chest = [
        at
        for at, name in enumerate(INDEPENDENT_LEADS[2:], start=3)
        if str(name) in unreadable or flat[at - 3]
    ]
    return [*([_CABLE_OF_PAIR[bad_limb]] if bad_limb else []), *chest]


def _take_qrs_t(rows: FloatArray, beat: RepresentativeBeat) -> FloatArray:
    hz = beat.rate_hz
    onset = beat.overall.qrs_onset
    offset = max(beat.overall.qrs_offset, onset + SHORTEST_QRS_S * hz)
    end = beat.overall.t_offset
    end = max(end, offset + SHORTEST_T_S * hz) if np.isfinite(end) else offset + USUAL_T_S * hz
    edges = np.empty(QRS_PLACES + T_PLACES + 1)
    edges[: QRS_PLACES + 1] = np.linspace(onset, offset, QRS_PLACES + 1)
    edges[QRS_PLACES:] = np.linspace(offset, end, T_PLACES + 1)
    return _mean_between(rows, edges)


def _take_p(rows: FloatArray, beat: RepresentativeBeat) -> FloatArray | None:
    onset, offset = beat.overall.p_onset, beat.overall.p_offset
    if not (np.isfinite(onset) and np.isfinite(offset) and offset > onset + 2.0):
        return None
    start, stop = max(int(onset), 0), int(offset) + 1
    near = max(int(LEVEL_S * beat.rate_hz), 1)
    before = rows[:, max(start - near, 0) : start + near].mean(axis=1)
    after = rows[:, stop - 1 - near : stop - 1 + near].mean(axis=1)
    wave = rows[:, start:stop]
    count = wave.shape[1]
    rise = (after - before)[:, None] * np.linspace(0.0, 1.0, count)
    wave = wave - (before[:, None] + rise)
    return _mean_between(wave, np.linspace(0.0, float(count), P_PLACES + 1))


def _mean_between(rows: FloatArray, edges: FloatArray) -> FloatArray:
    """Means from each edge to the next, which may lie between samples, shape (row, edge - 1)."""
    first, last = (int(each) for each in np.clip(edges[[0, -1]], 0.0, rows.shape[1] - 1))
    total = np.zeros((rows.shape[0], last - first + 2))
    np.cumsum(rows[:, first : last + 1], axis=1, out=total[:, 1:])
    edges = np.clip(edges, 0.0, rows.shape[1])
    whole = np.minimum(edges.astype(np.int64), rows.shape[1] - 1)
    upto = total[:, whole - first] + rows[:, whole] * (edges - whole)
    means: FloatArray = np.diff(upto, axis=1) / np.maximum(np.diff(edges), 1e-6)
    return means


def _build_potentials_from_eight() -> FloatArray:
    """RA, LA, LL and C1..C6 against Wilson's terminal from I, II, V1..V6."""
    matrix = np.zeros((9, 8))
    matrix[:3, :2] = [[-1.0, -1.0], [2.0, -1.0], [-1.0, 2.0]]
    matrix[:3] /= 3.0
    matrix[3:, 2:] = np.eye(6)
    matrix.setflags(write=False)
    return matrix


LEVEL_S = 0.008
POTENTIALS_FROM_EIGHT = _build_potentials_from_eight()
_CABLE_OF_PAIR = {
    frozenset({"I", "II"}): 0,
    frozenset({"I", "III"}): 1,
    frozenset({"II", "III"}): 2,
}
"""The row of RA, LA or LL that two of the first three limb leads have in common."""
