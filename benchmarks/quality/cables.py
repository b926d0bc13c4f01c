"""Exchanged cables: found on recordings exchanged by exact algebra, and false alarms."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.groups import GROUPS
from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.interchange.unreadable import find_unreadable
from benchmarks.quality.tables import Table, rate
from couchside.quality.interchange import (
    ARRANGEMENTS,
    Arrangement,
    ArrangementGroup,
    find_features,
    score_arrangements,
)
from couchside.quality.interchange.words import name_arrangement
from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    leads_from_potentials,
)
from couchside.simulate.cables import potentials_at_cables
from couchside.waves import RepresentativeBeat, delineate

RIGHT_LEG_SHARE = 0.01
"""The right leg differs from the left by so much of the heart's signal: nearly nothing."""
FALSE_ALARM_GOAL = "0.5 %"
_RARE = -3.0
"""Hangings of the limb cables rarer than this leave the recording of a commoner one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of one recording hung in one way; `told` None where nothing was wrong."""

    of: OpenRecording
    hung: Arrangement
    told: Arrangement | None
    has_p: bool

    @property
    def is_named(self) -> bool:
        """Whether the very arrangement was told, or one that leaves the same recording."""
        return self.told is not None and self.told.looks_like(self.hung)


def measure_exchanges(folder: Path) -> list[Table]:
    """False alarms on all recordings, and every exchange on the reported half."""
    recordings = list(read_recordings(folder))
    unchanged = [said for each in recordings for said in _say(each, [ARRANGEMENTS[0]])]
    hung = [each for each in ARRANGEMENTS[1:] if each.rarity > _RARE]
    reported = [each for each in recordings if not each.to_fit]
    exchanged = [said for each in reported for said in _say(each, hung)]
    return [
        _false_alarm_table(unchanged),
        _summary_table(exchanged),
        _each_table(exchanged, hung),
        _group_table([said for said in unchanged if not said.of.to_fit], exchanged),
    ]


def rearrange(beat: RepresentativeBeat, arrangement: Arrangement) -> RepresentativeBeat:
    """The same beat recorded with the cables hung that way; boundaries stay where they were."""
    at_cables = potentials_at_cables(_potentials(beat), arrangement.cables)
    return replace(beat, leads=STANDARD_LEADS, microvolts=leads_from_potentials(at_cables))


def _potentials(beat: RepresentativeBeat) -> NDArray[np.float64]:
    """At the ten electrodes against Wilson's terminal, under which chest leads stay as they are."""
    rows = [beat.microvolts[beat.leads.index(name)] for name in INDEPENDENT_LEADS]
    first, second, *chest = rows
    right = -(first + second) / 3.0
    foot = right + second
    return np.array([right, right + first, foot, foot * (1.0 - RIGHT_LEG_SHARE), *chest])


def _say(each: OpenRecording, hung: Sequence[Arrangement]) -> list[Said]:
    waves = delineate(each.recording)
    beat = waves.representative
    if beat is None:
        return [Said(of=each, hung=arrangement, told=None, has_p=True) for arrangement in hung]
    unreadable = find_unreadable(each.recording, waves)
    return [_say_one(each, beat, arrangement, unreadable) for arrangement in hung]


def _say_one(
    each: OpenRecording, beat: RepresentativeBeat, hung: Arrangement, unreadable: frozenset[str]
) -> Said:
    features = find_features(rearrange(beat, hung) if hung.cables else beat, unreadable)
    scores = None if features is None else score_arrangements(features)
    told = scores.best if scores is not None and scores.exchanged else None
    return Said(of=each, hung=hung, told=told, has_p=bool(np.isfinite(beat.overall.p_onset)))


def _false_alarm_table(unchanged: Sequence[Said]) -> Table:
    rows = [
        (
            f"{database}, {half}",
            rate(sum(said.told is not None for said in part), len(part)),
            _list_alarms(part),
        )
        for database in ("ludb", "ptbxl", "cinc2020", "all")
        for half, to_fit in (("fitted to", True), ("reported", False))
        for part in [
            [s for s in unchanged if s.of.to_fit is to_fit and database in (s.of.database, "all")]
        ]
    ]
    return Table(
        title="Cables: alarms on recordings as they are",
        about=(
            "LUDB (integers as µV), PTB-XL and CinC 2020 samples of 10 to 60 s, normal and "
            "abnormal. Odd records of LUDB and CinC 2020 and odd patients of PTB-XL were fitted "
            "to, with half of the acceptable records of CinC 2011; even ones are reported. Every "
            f"alarm counts as false; the goal is {FALSE_ALARM_GOAL} or fewer."
        ),
        columns=("recordings", "alarms", "which"),
        rows=tuple(rows),
    )


def _list_alarms(part: Sequence[Said]) -> str:
    told = [f"{s.of.name}: {name_arrangement(s.told)}" for s in part if s.told is not None]
    return "; ".join(told) or "–"


def _summary_table(exchanged: Sequence[Said]) -> Table:
    def is_limb(said: Said) -> bool:
        return said.hung.group in {ArrangementGroup.LIMB, ArrangementGroup.RIGHT_LEG} and not (
            set(said.hung.cables) - set(ELECTRODES[:4])
        )

    kinds: tuple[tuple[str, str, Callable[[Said], bool]], ...] = (
        ("limb exchanges but LA–LL", "98", is_limb),
        ("RA–LA with P", "99.5", lambda s: _is_pair(s, "RA", "LA") and s.has_p),
        ("RA–LA without P", "97", lambda s: _is_pair(s, "RA", "LA") and not s.has_p),
        ("LA–LL", "50", lambda s: _is_pair(s, "LA", "LL")),
        ("two chest cables", "75", lambda s: s.hung.group is ArrangementGroup.CHEST_PAIR),
        ("the chest row turned", "75", lambda s: s.hung.group is ArrangementGroup.CHEST_ROW),
        (
            "limb with chest of one colour, but the next two",
            "97",
            lambda s: s.hung.group is ArrangementGroup.LIMB_CHEST and not _is_pair(s, "RA", "C1"),
        ),
        ("RA–C1", "90", lambda s: _is_pair(s, "RA", "C1")),
        ("RL–C5", "90", lambda s: _is_pair(s, "RL", "C5")),
        ("all", "", lambda _: True),
    )
    rows = []
    for name, goal, wanted in kinds:
        part = [said for said in exchanged if wanted(said)]
        told = [said for said in part if said.told is not None]
        named = sum(said.is_named for said in told)
        rows.append((name, rate(len(told), len(part)), goal, rate(named, len(told))))
    return Table(
        title="Cables: exchanges told",
        about=(
            "The reported half, each representative beat rearranged by the exact lead algebra, "
            "boundaries and all; where too much cannot be read, nothing is told. The right "
            "leg is given 99 % of the left leg's potential. Named: the arrangement told is the "
            "one hung, or one that differs by the leg alone; goal 97 %."
        ),
        columns=("exchange", "told", "goal, %", "of these rightly named"),
        rows=tuple(rows),
    )


def _is_pair(said: Said, first: str, second: str) -> bool:
    return set(map(str, said.hung.cables)) == {first, second}


def _each_table(exchanged: Sequence[Said], hung: Sequence[Arrangement]) -> Table:
    rows = []
    for each in hung:
        part = [said for said in exchanged if said.hung is each]
        told = [said for said in part if said.told is not None]
        named = sum(said.is_named for said in told)
        rows.append((name_arrangement(each), rate(len(told), len(part)), rate(named, len(told))))
    return Table(
        title="Cables: every arrangement",
        about="As above. Left leg with right leg is the same recording but for 1 %: undetectable.",
        columns=("hung", "told", "of these rightly named"),
        rows=tuple(rows),
    )


def _group_table(unchanged: Sequence[Said], exchanged: Sequence[Said]) -> Table:
    rows = []
    for name, belongs in GROUPS.items():
        people = [said for said in unchanged if belongs(said.of)]
        cells = [name, str(len(people)), str(sum(said.told is not None for said in people))]
        for groups in (
            {ArrangementGroup.LIMB},
            {ArrangementGroup.RIGHT_LEG},
            {ArrangementGroup.LEFT_ARM_LEFT_LEG},
            {ArrangementGroup.CHEST_PAIR, ArrangementGroup.CHEST_ROW},
            {ArrangementGroup.LIMB_CHEST},
        ):
            part = [s for s in exchanged if belongs(s.of) and s.hung.group in groups]
            cells.append(_percent(part))
        rows.append(tuple(cells))
    return Table(
        title="Cables: by heart and age",
        about="The reported half; a recording may stand in several rows. Share of exchanges told.",
        columns=(
            "people",
            "recordings",
            "false alarms",
            "limb",
            "cable on the right leg",
            "LA–LL",
            "chest",
            "limb–chest",
        ),
        rows=tuple(rows),
    )


def _percent(part: Sequence[Said]) -> str:
    if not part:
        return "–"
    return f"{100.0 * sum(said.told is not None for said in part) / len(part):.1f} %"
