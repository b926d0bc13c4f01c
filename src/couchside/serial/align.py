"""Both representative beats on one time axis, QRS upon QRS."""

from __future__ import annotations

import numpy as np

from couchside.serial.model import AlignedBeats, FloatArray
from couchside.serial.shape import find_middle_ms
from couchside.waves import RepresentativeBeat

_MOST_LAG_MS = 24.0


def align_beats(
    new: RepresentativeBeat | None, old: RepresentativeBeat | None
) -> AlignedBeats | None:
    """Lay the earlier beat upon the new one.

    Parameters
    ----------
    new, old : RepresentativeBeat or None
        At any rates.

    Returns
    -------
    AlignedBeats or None
        At the new beat's rate and time axis. None where a beat or its QRS boundaries are missing,
        or no lead is common.

    Notes
    -----
    The centres of the power of QRS are laid upon each other, then moved by up to 24 ms to where the
    sum of the squared differences within QRS over all common leads is least.
    """
    if new is None or old is None:
        return None
    leads = tuple(lead for lead in new.leads if lead in old.leads)
    if not leads or not (_has_qrs(new) and _has_qrs(old)):
        return None
    new_uv = new.microvolts[[new.leads.index(lead) for lead in leads]]
    return AlignedBeats(
        leads=leads,
        new_uv=new_uv,
        old_uv=_find_best(new, old, new_uv, leads),
        rate_hz=new.rate_hz,
        qrs_onset=new.overall.qrs_onset,
        qrs_offset=new.overall.qrs_offset,
    )


def _has_qrs(beat: RepresentativeBeat) -> bool:
    return beat.overall.qrs_onset < beat.overall.qrs_offset


def _find_best(
    new: RepresentativeBeat, old: RepresentativeBeat, new_uv: FloatArray, leads: tuple[str, ...]
) -> FloatArray:
    times_ms = np.arange(new_uv.shape[1], dtype=np.float64) * (1000.0 / float(new.rate_hz))
    apart_ms = find_middle_ms(old) - find_middle_ms(new)
    samples = old.microvolts[[old.leads.index(lead) for lead in leads]]
    grid_ms = np.arange(samples.shape[1], dtype=np.float64) * (1000.0 / float(old.rate_hz))
    lags_ms = np.arange(-_MOST_LAG_MS, _MOST_LAG_MS + 1.0, 1000.0 / new.rate_hz)
    inside = slice(int(new.overall.qrs_onset), int(new.overall.qrs_offset) + 1)
    costs = []
    for lag_ms in lags_ms:
        moved = _read(samples, grid_ms, times_ms[inside] + apart_ms + lag_ms)
        costs.append(float(np.nansum((moved - new_uv[:, inside]) ** 2)))
    best_ms = float(lags_ms[int(np.argmin(costs))])
    return _read(samples, grid_ms, times_ms + apart_ms + best_ms)


def _read(samples: FloatArray, grid_ms: FloatArray, times_ms: FloatArray) -> FloatArray:
    """Values at those times, NaN beyond the beat."""
    return np.array(
        [np.interp(times_ms, grid_ms, row, left=np.nan, right=np.nan) for row in samples]
    )
