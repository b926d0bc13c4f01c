"""Atrial flutter in step with the QRS: waves that come back sooner than any sinus beat could.

One of them stands where a P wave would, and the beats agree on it; but an equal wave stands before
it, 170 to 250 ms earlier, which no P wave has.
"""

from __future__ import annotations

import numpy as np

from couchside.waves.agreement import Agreement
from couchside.waves.filters import BoolArray
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.smooth_waves import MS

SHORTEST_MS, LONGEST_MS = 170.0, 250.0
"""From one flutter wave to the next: 240 to 350 a minute, the textbooks' range, from memory."""
LEAST_CYCLES, OFF_WHOLE = 2, 0.15
"""In step means that RR is a whole number of flutter cycles; with one alone, what comes before is
the P wave of the beat before."""
LEAST_ALIKE = 0.8
"""Correlation over all leads. On the tuning recordings flutter has 0.88 and 0.91; what comes so
long before a sinus P wave, the T wave most often, has less than 0.6 where it is of like size."""
LEAST_SHARE, MOST_SHARE = 0.6, 1.7
"""Its size, as a share of the first; a T wave is mostly larger."""
LEAST_LEADS = 2
"""In one lead a T wave is too often like a P wave. In two it hides the P waves of 1 % of simulated
people, all above 110 a minute, and takes away four in nine false ones of the tuning recordings."""
_HALF_MS = 60.0


def find_repeated(
    agreement: Agreement, lead_weights: FloatArray, middle: IntArray, rr_ms: FloatArray
) -> BoolArray:
    """Whether the wave at the place of P is one of a train.

    Parameters
    ----------
    agreement : Agreement
        What the beats have in common, (bundle, lead, sample).
    lead_weights : array of shape (lead,)
        How much each lead counts.
    middle : integer array of shape (bundle,)
        Sample of the wave's middle.
    rr_ms : array of shape (bundle,)
        Usual time to the next beat.

    Returns
    -------
    bool array of shape (bundle,)
    """
    if agreement.mean.shape[1] < LEAST_LEADS:
        return np.zeros(middle.shape[0], dtype=np.bool_)
    roots = np.sqrt(lead_weights)[:, None]
    rows = zip(agreement.mean, middle.tolist(), rr_ms.tolist(), strict=True)
    return np.array([_comes_back(mean * roots, *rest) for mean, *rest in rows], dtype=np.bool_)


def _comes_back(mean: FloatArray, middle: int, rr_ms: float) -> bool:
    half, first, last = (round(each / MS) for each in (_HALF_MS, SHORTEST_MS, LONGEST_MS))
    start, stop = middle - half - last, middle + half + 1 - first
    if start < 0 or middle + half >= mean.shape[1]:
        return False
    wave = mean[:, middle - half : middle + half + 1]
    earlier = np.lib.stride_tricks.sliding_window_view(mean[:, start:stop], wave.shape[1], axis=1)
    product = np.einsum("lks,ls->k", earlier, wave)
    size, sizes = float(np.sum(wave**2)) + 1e-9, np.einsum("lks,lks->k", earlier, earlier)
    alike, share = product / np.sqrt(size * sizes + 1e-9), product / size
    best = int(np.argmax(alike))
    cycles = rr_ms / ((last - best) * MS)
    in_step = cycles > LEAST_CYCLES - OFF_WHOLE and abs(cycles - round(cycles)) < OFF_WHOLE
    is_peak = 0 < best < alike.shape[0] - 1
    is_equal = alike[best] > LEAST_ALIKE and LEAST_SHARE < share[best] < MOST_SHARE
    return bool(in_step and is_peak and is_equal)
