"""Exchanged cables, told by an earlier recording of the person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person, Taken, list_own_pairs
from couchside.recording import Electrode
from couchside.serial.arrangements import find_exchange, lead_map, name_cables
from couchside.serial.check import LEAST_EXCHANGE_PROBABILITY
from couchside.serial.shape import BeatShape

Cables = Mapping[Electrode, Electrode]
_RA, _LA, _LL, _RL = Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL
_C = [Electrode(f"C{number}") for number in range(1, 7)]


def _swap(one: Electrode, other: Electrode) -> Cables:
    return {one: other, other: one}


ARRANGEMENTS: tuple[tuple[str, tuple[Cables, ...]], ...] = (
    ("as recorded", ({},)),
    ("LA–LL", (_swap(_LA, _LL),)),
    ("RA–LA", (_swap(_RA, _LA),)),
    ("RA–LL", (_swap(_RA, _LL),)),
    ("rotations of RA, LA, LL", ({_RA: _LA, _LA: _LL, _LL: _RA}, {_RA: _LL, _LA: _RA, _LL: _LA})),
    ("a cable on the right leg", (_swap(_RA, _RL), _swap(_LA, _RL))),
    ("both arms on the legs", ({_RA: _RL, _RL: _RA, _LA: _LL, _LL: _LA},)),
    ("V1–V2, V2–V3", (_swap(_C[0], _C[1]), _swap(_C[1], _C[2]))),
    ("V3–V4", (_swap(_C[2], _C[3]),)),
    ("V4–V5, V5–V6", (_swap(_C[3], _C[4]), _swap(_C[4], _C[5]))),
    (
        "chest cables not neighbours",
        tuple(_swap(_C[i], _C[j]) for i in range(6) for j in range(i + 2, 6)),
    ),
    (
        "limb–chest of one colour (IEC)",
        (_swap(_RA, _C[0]), _swap(_LA, _C[1]), _swap(_LL, _C[2]), _swap(_RL, _C[4])),
    ),
)


def measure_exchanges(people: list[Person]) -> list[Table]:
    """Each arrangement put on each recording that has another one of its person."""
    tuning, reported = (
        [
            ordered
            for pair in list_own_pairs(people, reported=part)
            for ordered in (pair, pair[::-1])
        ]
        for part in (False, True)
    )
    rows = []
    for name, arrangements in ARRANGEMENTS:
        told, named = _count(reported, arrangements)
        total = len(reported) * len(arrangements)
        rows.append(
            (
                name,
                rate(_count(tuning, arrangements)[0], len(tuning) * len(arrangements)),
                rate(told, total),
                rate(named, total) if arrangements != ({},) else "–",
            )
        )
    return [
        Table(
            title="Exchanged cables, told by an earlier recording",
            about=(
                "Both recordings of each pair of one PTB-XL person, in either order, the later one "
                "put under the exchange by exact algebra. Told: with a probability of at least "
                '50 %. "As recorded" are false alarms. The degrees of freedom were chosen on the '
                "tuning part. Goal: LA–LL ≥ 95 %."
            ),
            columns=("arrangement", "told, tuning", "told, reported", "rightly named, reported"),
            rows=tuple(rows),
        )
    ]


def put_under(shape: BeatShape, cables: Cables) -> BeatShape:
    """The same beat as recorded with the cables exchanged."""
    mapped = lead_map(cables)
    return BeatShape(
        qrs_by_lag=np.einsum("ij,ljs->lis", mapped, shape.qrs_by_lag),
        st_t=mapped @ shape.st_t,
        p=None if shape.p is None else mapped @ shape.p,
    )


def _count(pairs: Sequence[tuple[Taken, ...]], arrangements: tuple[Cables, ...]) -> tuple[int, int]:
    told = named = 0
    for new, old in pairs:
        for cables in arrangements:
            found = find_exchange(put_under(new.shape, cables), old.shape)
            is_told = bool(found.cables) and found.probability >= LEAST_EXCHANGE_PROBABILITY
            told += is_told
            is_same = np.allclose(lead_map(found.cables), lead_map(cables))
            named += is_told and bool(is_same) and name_cables(found.cables) != ""
    return told, named
