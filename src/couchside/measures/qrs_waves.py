"""One lead's QRS split into Q, R, S, R′ and S′."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from couchside.measures.lead_model import QRS_WAVES, LeadWave, WaveName
from couchside.waves.model import FloatArray

LEAST_WAVE_UV = 20.0
LEAST_WAVE_MS = 6.0
"""What counts as a wave [CSE1985], from memory."""

_TAIL_MS, _RETURN_SHARE, _CLEAR_FACTOR = 40.0, 0.5, 2.0
"""A last wave that the QRS end cuts off comes back to half of its height within so long behind it,
which a displaced ST segment does not, and is twice as high as what just counts as a wave."""
_SECOND_RETURN_SHARE = 0.25
"""A last wave on a side that has one already comes back by so much of its height; noise on a
displaced ST segment does not."""

NO_WAVE = "no such wave of at least 20 µV and 6 ms"
_ABSENT = {name: LeadWave(name=name, reason=NO_WAVE) for name in QRS_WAVES}
_LATER_NEGATIVES = (WaveName.S, WaveName.S_PRIME)
_POSITIVES = (WaveName.R, WaveName.R_PRIME)


def split_qrs(
    samples: FloatArray, onset: float, offset: float, rate_hz: float, *, least_uv: float
) -> dict[WaveName, LeadWave]:
    """Name the waves of one lead's QRS.

    Parameters
    ----------
    samples : array of shape (sample,)
        The representative beat in µV; the level just before QRS is 0.
    onset, offset : float
        Where this lead's QRS begins and ends, in samples.
    rate_hz : float
        Samples per second.
    least_uv : float
        Height from which a deflection counts as a wave, in µV.

    Returns
    -------
    dict of WaveName to LeadWave
        All of Q, R, S, R′, S′, absent ones with their reason.

    Notes
    -----
    A deflection reaches from one crossing of the level to the next; one that is too low or too
    short counts as nothing, and what it parted becomes one wave. The last one must come back by as
    much as makes a wave, or to half of its height within 40 ms: a rise into a displaced ST segment
    is none, and a second wave on one side comes back by a quarter. Downwards before the first R is
    Q, after it S and S′; a single wave downwards (QS) is given as Q. Further ones get no name.
    Source: [CSE1985].
    """
    first, behind = math.ceil(onset), math.floor(offset) + 1
    tail_count = round(_TAIL_MS * rate_hz / 1000.0)
    found = _find_deflections(samples[first:behind].tolist(), first, onset, offset)
    found = _complete_last(found, samples[behind : behind + tail_count].tolist(), least_uv)
    deflections = _merge_alike([each for each in found if _is_wave(each, rate_hz, least_uv)])
    found_waves = {
        name: LeadWave(
            name=name,
            amplitude_uv=each.peak_uv,
            duration_ms=(each.end - each.start) * 1000.0 / rate_hz,
        )
        for name, each in _name(deflections).items()
    }
    return _ABSENT | found_waves


class _Deflection(NamedTuple):
    """A stretch on one side of the level; `returns_uv` is how far it comes back from its peak."""

    start: float
    end: float
    peak_uv: float
    returns_uv: float


def _find_deflections(
    inside: list[float], first: int, onset: float, offset: float
) -> list[_Deflection]:
    """Those of the samples inside the QRS, of which one is the first."""
    if not inside:
        return []
    found: list[_Deflection] = []
    signs = [value > 0 for value in inside]
    changes = [place for place, (here, then) in enumerate(pairwise(signs), 1) if here != then]
    start = onset
    for begin, stop in pairwise((0, *changes)):
        peak = max(inside[begin:stop], key=abs)
        before, here = inside[stop - 1], inside[stop]
        end = first + stop - 1 + before / (before - here)
        found.append(_Deflection(start, end, peak, abs(peak)))
        start = end
    peak = max(inside[changes[-1] if changes else 0 :], key=abs)
    found.append(_Deflection(start, offset, peak, abs(peak) - abs(inside[-1])))
    return found


def _complete_last(
    deflections: list[_Deflection], after: list[float], least_uv: float
) -> list[_Deflection]:
    """From what follows, give the last one its peak and its return where the QRS end cuts it."""
    if not deflections:
        return []
    *earlier, last = deflections
    peak, back = last.peak_uv, abs(last.peak_uv)
    for value in after:
        if (value > 0) != (last.peak_uv > 0):
            back = 0.0
            break
        peak = value if abs(value) > abs(peak) else peak
        back = min(back, abs(value))
    if back <= _RETURN_SHARE * abs(peak) and abs(peak) >= _CLEAR_FACTOR * least_uv:
        last = last._replace(peak_uv=peak, returns_uv=abs(peak) - back)
    is_second = any(
        (each.peak_uv > 0) == (last.peak_uv > 0) and abs(each.peak_uv) >= least_uv
        for each in earlier
    )
    if is_second and last.returns_uv < _SECOND_RETURN_SHARE * abs(last.peak_uv):
        return earlier
    return [*earlier, last]


def _is_wave(each: _Deflection, rate_hz: float, least_uv: float) -> bool:
    is_long = (each.end - each.start) * 1000.0 / rate_hz >= LEAST_WAVE_MS
    return is_long and abs(each.peak_uv) >= least_uv and each.returns_uv >= least_uv


def _merge_alike(deflections: list[_Deflection]) -> list[_Deflection]:
    """Neighbours on the same side are one wave."""
    merged: list[_Deflection] = []
    for each in deflections:
        if merged and (merged[-1].peak_uv > 0) == (each.peak_uv > 0):
            taller = max(merged[-1], each, key=lambda one: abs(one.peak_uv))
            merged[-1] = taller._replace(start=merged[-1].start, end=each.end)
        else:
            merged.append(each)
    return merged


def _name(deflections: list[_Deflection]) -> dict[WaveName, _Deflection]:
    named: dict[WaveName, _Deflection] = {}
    for each in deflections:
        has_r = WaveName.R in named
        if each.peak_uv > 0:
            choices: tuple[WaveName, ...] = _POSITIVES
        else:
            choices = _LATER_NEGATIVES if has_r else (WaveName.Q,)
        free = [name for name in choices if name not in named]
        if free:
            named[free[0]] = each
    return named
