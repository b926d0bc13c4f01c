"""Heart rate, and the RR interval that corrects QT."""

from __future__ import annotations

from itertools import pairwise

from couchside.measures.model import Measured, MeasureName
from couchside.waves import Waves

IRREGULAR_SHARE = 0.15
"""RR intervals whose middle 80 % spread by more than this share of their mean are irregular."""


def measure_rate(waves: Waves) -> Measured:
    """60 000 divided by the mean RR interval in ms, over the whole recording [AHA2007-I].

    Parameters
    ----------
    waves : Waves
        All beats count, of every group.

    Returns
    -------
    Measured
        In beats per minute; the method says so where the rhythm is irregular.
    """
    rr_s = find_mean_rr_s(waves)
    if rr_s is None:
        return Measured(
            name=MeasureName.HEART_RATE,
            value=None,
            unit="/min",
            method="60 000 / mean RR",
            reason=explain_missing_rr(waves),
        )
    return Measured(
        name=MeasureName.HEART_RATE,
        value=60.0 / rr_s,
        unit="/min",
        method=f"60 000 / mean RR over {waves.beat_count} beats{describe_irregularity(waves)}",
    )


def find_mean_rr_s(waves: Waves) -> float | None:
    """Mean RR interval in seconds, None with fewer than two beats."""
    if waves.beat_count < 2:
        return None
    first, last = waves.beat_samples[[0, -1]]
    return float((last - first) / (waves.beat_count - 1) / waves.rate_hz)


def explain_missing_rr(waves: Waves) -> str:
    """Why there is no RR interval."""
    return "no beats were found" if waves.beat_count == 0 else "only one beat was found"


def describe_irregularity(waves: Waves) -> str:
    """What to add to a method that rests on the mean RR; empty where the rhythm is regular."""
    if not is_irregular(waves):
        return ""
    rr = _ordered_rr(waves)
    shortest_ms, longest_ms = (samples * 1000.0 / waves.rate_hz for samples in (rr[0], rr[-1]))
    return f"; irregular, RR {shortest_ms:.0f} to {longest_ms:.0f} ms"


def is_irregular(waves: Waves) -> bool:
    """Whether the RR intervals, without the extremes, spread by more than a share of their mean."""
    if waves.beat_count < 4:
        return False
    rr = _ordered_rr(waves)
    middle = _quantile(rr, 0.9) - _quantile(rr, 0.1)
    return middle > IRREGULAR_SHARE * sum(rr) / len(rr)


def _ordered_rr(waves: Waves) -> list[int]:
    """RR intervals in samples, the shortest first."""
    beats: list[int] = waves.beat_samples.tolist()
    return sorted(after - before for before, after in pairwise(beats))


def _quantile(ordered: list[int], share: float) -> float:
    """Between the two neighbours in a straight line."""
    below, part = divmod(share * (len(ordered) - 1), 1.0)
    first, second = ordered[int(below)], ordered[min(int(below) + 1, len(ordered) - 1)]
    return first + part * (second - first)
