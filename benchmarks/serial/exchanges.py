"""Exchanged cables, told by an earlier recording of the person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person, Taken, list_own_pairs
from couchside.recording import INDEPENDENT_LEADS, Electrode
from couchside.serial.arrangements import lead_map
from couchside.serial.exchange import find_evidence, find_exchange
from couchside.waves import RepresentativeBeat

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
                "put under the exchange by exact algebra. Told: as one of the later one, by "
                'usual hearts and the earlier recording together. "As recorded" are false alarms. '
                "The degrees of freedom were chosen on the tuning part. Goal: LA–LL ≥ 95 %."
            ),
            columns=("arrangement", "told, tuning", "told, reported", "rightly named, reported"),
            rows=tuple(rows),
        )
    ]


def put_under(beat: RepresentativeBeat, cables: Cables) -> RepresentativeBeat:
    """The same beat as recorded with the cables exchanged."""
    rows = [beat.leads.index(lead) for lead in INDEPENDENT_LEADS]
    leads = tuple(map(str, INDEPENDENT_LEADS))
    return replace(beat, leads=leads, microvolts=lead_map(cables) @ beat.microvolts[rows])


def _count(pairs: Sequence[tuple[Taken, ...]], arrangements: tuple[Cables, ...]) -> tuple[int, int]:
    told = named = 0
    for new, old in pairs:
        now, then = (each.examined.assessment.waves.representative for each in (new, old))
        left_out = frozenset().union(
            *(each.examined.assessment.left_out_leads for each in (new, old))
        )
        for cables in arrangements:
            beat = now and put_under(now, cables)
            found = find_exchange(beat, find_evidence(beat, then, left_out))
            is_told = found is not None and bool(found.cables) and found.now
            told += is_told
            named += found is not None and is_told and _leave_alike(found.cables, cables)
    return told, named


def _leave_alike(found: Cables, cables: Cables) -> bool:
    return bool(np.allclose(lead_map(found), lead_map(cables)))
