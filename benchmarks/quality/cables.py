"""Exchanged limb cables: found on recordings exchanged by exact algebra, and false alarms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.quality.open_data import read_all, read_ludb
from benchmarks.quality.tables import Table, rate
from couchside.quality import FindingKind, check
from couchside.recording import (
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Recording,
    twelve_from_eight,
)

Arrangement = dict[Electrode, Electrode]
_RA, _LA, _LL, _RL = Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL
ARRANGEMENTS: dict[str, Arrangement] = {
    "as recorded": {},
    "RA–LA": {_RA: _LA, _LA: _RA},
    "RA–LL": {_RA: _LL, _LL: _RA},
    "LA–LL": {_LA: _LL, _LL: _LA},
    "RA–RL": {_RA: _RL, _RL: _RA},
    "LA–RL": {_LA: _RL, _RL: _LA},
    "both arms on legs": {_RA: _RL, _RL: _RA, _LA: _LL, _LL: _LA},
}
RIGHT_LEG_SHARE = 0.01
"""The right leg differs from the left by so much of the heart's signal: nearly nothing."""


def measure_exchanges(folder: Path) -> list[Table]:
    """Every arrangement on every clean twelve-lead recording."""
    recordings = list(_recordings(folder))
    rows = []
    for name, arrangement in ARRANGEMENTS.items():
        said = [_said(rearrange(recording, arrangement)) for recording in recordings]
        rows.append((name, _told(said[::2]), _told(said[1::2]), _named(said[1::2], arrangement)))
    return [
        Table(
            title="Limb cables exchanged",
            about=(
                "LUDB (integers as µV), PTB-XL and CinC 2020 samples of ten seconds or more, each "
                'rearranged by the exact lead algebra. "As recorded" are false alarms; at most '
                "0.5 % is the goal. Limits were chosen on every second recording."
            ),
            columns=(
                "arrangement",
                "told, first half (chosen on)",
                "told, second half (reported)",
                "right cables named, second half",
            ),
            rows=tuple(rows),
        )
    ]


def rearrange(recording: Recording, arrangement: Arrangement) -> Recording:
    """The same heart recorded with cables on other electrodes; `arrangement` is cable to site."""
    first, second = recording.get_lead("I"), recording.get_lead("II")
    chest = np.array([recording.get_lead(name) for name in INDEPENDENT_LEADS[2:]])
    at_site = _limb_potentials(first, second)
    at_cable = {cable: at_site[arrangement.get(cable, cable)] for cable in at_site}
    terminal = (at_cable[_RA] + at_cable[_LA] + at_cable[_LL]) / 3.0
    independent = np.vstack(
        [at_cable[_LA] - at_cable[_RA], at_cable[_LL] - at_cable[_RA], chest - terminal]
    )
    return replace(recording, leads=STANDARD_LEADS, microvolts=twelve_from_eight(independent))


def _limb_potentials(
    first: NDArray[np.float64], second: NDArray[np.float64]
) -> dict[Electrode, NDArray[np.float64]]:
    """Potentials against Wilson's terminal, under which the chest leads stay as they are."""
    right = -(first + second) / 3.0
    left, foot = right + first, right + second
    return {_RA: right, _LA: left, _LL: foot, _RL: foot * (1.0 - RIGHT_LEG_SHARE)}


def _recordings(folder: Path) -> Iterator[Recording]:
    every = chain(read_ludb(folder), read_all(folder, "ptbxl"), read_all(folder, "cinc2020"))
    for _, recording in every:
        whole = all(recording.has_lead(name) for name in STANDARD_LEADS)
        if whole and 9.9 <= recording.duration_s <= 60.0:
            yield recording


def _told(said: list[tuple[Electrode, ...]]) -> str:
    return rate(sum(bool(electrodes) for electrodes in said), len(said))


def _named(said: list[tuple[Electrode, ...]], arrangement: Arrangement) -> str:
    if not arrangement:
        return "–"
    return rate(sum(set(electrodes) == set(arrangement) for electrodes in said), len(said))


def _said(recording: Recording) -> tuple[Electrode, ...]:
    for found in check(recording).findings:
        if found.kind == FindingKind.CABLES_EXCHANGED:
            return found.electrodes
    return ()
