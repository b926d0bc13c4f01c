"""Is this the same heart: pairs of recordings of one person against pairs of two people."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import (
    SPLIT,
    Person,
    Taken,
    list_other_pairs,
    list_own_pairs,
    qrs_change_ms,
)
from couchside.serial.exchange import find_evidence, find_exchange
from couchside.serial.same_heart import find_distance, judge_same_heart

FloatArray = NDArray[np.float64]


def measure_same_heart(people: list[Person]) -> list[Table]:
    """Area under the curve, and how often the recorder is asked to make sure."""
    rows = [_row(people, reported=False), _row(people, reported=True)]
    return [
        Table(
            title="Is this the same heart",
            about=(
                f"{SPLIT} The area under the curve is that of the distance alone, over all pairs. "
                "Prompts are as a user gets them: pairs whose QRS differs by more than 25 ms are "
                "not judged, which spares people with a new block and lets some strangers pass. "
                "Goals: area ≥ 0.98, prompts on one person ≤ 1 %. The way of measuring the "
                "distance was settled when all pairs had been seen, the price of a change of "
                "mixture, means, spreads and the limit on the tuning part."
            ),
            columns=(
                "part",
                "pairs of one person",
                "pairs of two people",
                "area under the curve",
                "prompts on one person",
                "prompts on two people",
                "most unlike pair of one person",
            ),
            rows=tuple(rows),
        )
    ]


def fit(people: list[Person]) -> list[Table]:
    """Means and spreads of the distances on the tuning people: what stands in same_heart.py."""
    own, other = _distances(people, reported=False)
    return [
        Table(
            title="Fit of the distances",
            about="Tuning people only.",
            columns=("pairs", "count", "mean", "spread"),
            rows=tuple(
                (name, str(values.size), f"{values.mean():.2f}", f"{values.std(ddof=1):.2f}")
                for name, values in (("one person", own), ("two people", other))
            ),
        )
    ]


def _row(people: list[Person], *, reported: bool) -> tuple[str, ...]:
    own, other = _distances(people, reported=reported)
    prompts = [
        sum(_prompts(*pair) for pair in pairs)
        for pairs in (
            list_own_pairs(people, reported=reported),
            list_other_pairs(people, reported=reported)[:1500],
        )
    ]
    return (
        "reported" if reported else "tuning",
        str(own.size),
        str(other.size),
        f"{_area(own, other):.4f}",
        rate(prompts[0], own.size),
        rate(prompts[1], min(other.size, 1500)),
        f"{own.max():.2f} (prompts above −3.4)".replace("-", "−"),
    )


def _distances(people: list[Person], *, reported: bool) -> tuple[FloatArray, FloatArray]:
    own, other = (
        np.array([find_distance(new.shape, old.shape, None) for new, old in pairs])
        for pairs in (
            list_own_pairs(people, reported=reported),
            list_other_pairs(people, reported=reported),
        )
    )
    return own, other


def _prompts(new: Taken, old: Taken) -> bool:
    now, then = (each.examined.assessment.waves.representative for each in (new, old))
    exchange = find_exchange(now, find_evidence(now, then))
    return judge_same_heart(new.shape, old.shape, exchange, qrs_change_ms(new, old)).prompts


def _area(own: FloatArray, other: FloatArray) -> float:
    """Share of pairs of pairs in which one person's distance is the smaller one."""
    in_order = np.sort(other)
    above = in_order.size - np.searchsorted(in_order, own, side="right")
    ties = np.searchsorted(in_order, own, side="right") - np.searchsorted(in_order, own)
    return float((above + 0.5 * ties).mean() / in_order.size)
