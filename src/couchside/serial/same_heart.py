"""Is this the same heart? A prompt to check identity, never a fact.

The score is the distance between the two beats' shapes. Electrodes may sit elsewhere, and nearly
freely so: what is compared is how the heart's own activity runs through time, seen from anywhere.
Of each class of pairs, one person's and two persons', the distances are taken as normal; their
means and spreads, four numbers, are all that was fitted.
"""

from __future__ import annotations

from math import exp

import numpy as np

from couchside.serial.arrangements import lead_map
from couchside.serial.distance import LEAD_COUNT, log_distances
from couchside.serial.model import Exchange, FloatArray, SameHeart
from couchside.serial.shape import BeatShape

PRICE = 0.005
"""Of a change of mixture, alike in all leads; see `couchside.serial.distance`."""
ST_T_SCALE = 0.3
SAME_MEAN, SAME_SPREAD = -5.2, 0.75
OTHER_MEAN, OTHER_SPREAD = -3.1, 0.6
"""Natural logarithms of distances, from `python -m benchmarks serial fit` on the tuning patients:
-5.2 and 0.6, -3.1 and 0.6. The first spread is widened by a quarter, as five pairs of recordings
tell little of the rarer ways in which one heart differs from itself."""
PROMPTS_ABOVE = -3.4
"""2.4 spreads above the mean of one person's pairs, where fewer than 1 % of them should lie."""
MOST_QRS_CHANGE_MS = 25.0
"""A QRS that became so much wider or narrower is conducted another way: its shape tells nothing of
whose it is. Beyond the 20 ms that count as a change of QRS [from memory]."""

_PRICES = np.full(LEAD_COUNT, PRICE)


def judge_same_heart(
    new: BeatShape | None,
    old: BeatShape | None,
    exchange: Exchange | None,
    qrs_change_ms: float | None,
) -> SameHeart:
    """Say whether two beats look like one heart.

    Parameters
    ----------
    new, old : BeatShape or None
        None where a beat lacks what is needed.
    exchange : Exchange or None
        The arrangement of cables under which they are most alike: an exchange makes no other heart.
    qrs_change_ms : float or None
        By how much QRS became wider.
    """
    if new is None or old is None:
        return _not_judged("both recordings need a QRS and the leads I, II and V1–V6")
    distance = find_distance(new, old, exchange)
    probability = _probability(distance)
    if qrs_change_ms is None or abs(qrs_change_ms) > MOST_QRS_CHANGE_MS:
        return _not_judged("QRS is conducted another way now, which changes its shape by itself")
    prompts = distance > PROMPTS_ABOVE
    return SameHeart(
        distance=distance, probability=probability, prompts=prompts, sentence=_say(distance)
    )


def find_distance(new: BeatShape, old: BeatShape, exchange: Exchange | None) -> float:
    """The mean of the distances both ways, at its best of as is and as under the exchange."""
    maps: list[FloatArray] = [np.eye(LEAD_COUNT)]
    if exchange is not None and exchange.cables:
        hung: FloatArray = lead_map(exchange.cables)
        maps.append(hung if exchange.now else _undo(hung))
    forth = _distances(new, old, np.stack(maps))
    back = _distances(old, new, np.stack(maps[:1]))
    as_is = 0.5 * float(forth[0] + back[0])
    return min(as_is, *forth.tolist()[1:]) if len(maps) > 1 else as_is


def _undo(hung: FloatArray) -> FloatArray:
    return np.linalg.pinv(hung).astype(np.float64)


def _distances(new: BeatShape, old: BeatShape, maps: FloatArray) -> FloatArray:
    return log_distances(new, old, maps, _PRICES, st_t_scale=ST_T_SCALE, p_scale=0.0)


def _probability(distance: float) -> float:
    """That one heart made both, were it as likely as not beforehand.

    Beyond the mean of a class the density of its mean stands, so that very like beats never look
    like another heart for being more alike than usual.
    """
    same = _log_density(max(distance, SAME_MEAN), SAME_MEAN, SAME_SPREAD)
    other = _log_density(min(distance, OTHER_MEAN), OTHER_MEAN, OTHER_SPREAD)
    return 1.0 / (1.0 + exp(min(other - same, 700.0)))


def _log_density(value: float, mean: float, spread: float) -> float:
    return -0.5 * ((value - mean) / spread) ** 2 - float(np.log(spread))


def _say(distance: float) -> str:
    if distance > PROMPTS_ABOVE:
        return (
            "The beats are less alike than two recordings of one person usually are: make sure "
            "whose recording this is."
        )
    if distance > 0.5 * (SAME_MEAN + OTHER_MEAN):
        return "The beats are not so much alike that they tell one person from another."
    return "The beats are as much alike as two recordings of one person usually are."


def _not_judged(reason: str) -> SameHeart:
    return SameHeart(
        distance=None,
        probability=None,
        prompts=False,
        sentence=f"Whether the heart is the same cannot be judged: {reason}.",
    )
