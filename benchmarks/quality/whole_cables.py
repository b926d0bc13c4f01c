"""Exchanged cables end to end: whole recordings rearranged sample by sample, then checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.groups import GROUPS
from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.quality.tables import Table, rate
from couchside.measures import MeasureName
from couchside.quality import Assessment, FindingKind, check
from couchside.quality.interchange import ARRANGEMENTS, Arrangement, ArrangementGroup
from couchside.recording import (
    CHEST_ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Recording,
    leads_from_potentials,
)
from couchside.simulate.cables import potentials_at_cables

OF_EACH = 3
"""Exchanges of each recording, in turn through all, so that it stays a matter of minutes."""
RIGHT_LEG_SHARE = 0.01
_RARE = -3.0
_INTERVALS = {
    MeasureName.HEART_RATE: "/min",
    MeasureName.PR_INTERVAL: "ms",
    MeasureName.QRS_DURATION: "ms",
    MeasureName.QT_INTERVAL: "ms",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A whole recording hung in one way, and what the check says of it and of it unchanged."""

    of: OpenRecording
    hung: Arrangement
    before: Assessment
    after: Assessment

    @property
    def is_told(self) -> bool:
        """Whether exchanged cables are told."""
        return _find_told(self.after) is not None

    @property
    def is_named(self) -> bool:
        """Whether the cables told are those that hang elsewhere, either leg being the left."""
        told = _find_told(self.after)
        return told is not None and _by_leg(told) == _by_leg(self.hung.displaced)


def measure_whole_recordings(folder: Path) -> list[Table]:
    """The reported half, end to end."""
    hung = [each for each in ARRANGEMENTS[1:] if each.rarity > _RARE]
    checked = []
    reported = (each for each in read_recordings(folder) if not each.to_fit)
    for number, each in enumerate(reported):
        before = check(each.recording)
        for place in range(OF_EACH):
            arrangement = hung[(number * OF_EACH + place) % len(hung)]
            after = check(rearrange(each.recording, arrangement))
            checked.append(Checked(of=each, hung=arrangement, before=before, after=after))
    return [_told_table(checked), _interval_table(checked)]


def rearrange(recording: Recording, arrangement: Arrangement) -> Recording:
    """The recording as the recorder would have written it with the cables hung that way."""
    rows = [recording.get_lead(name) for name in INDEPENDENT_LEADS]
    right = -(rows[0] + rows[1]) / 3.0
    foot = right + rows[1]
    potentials = [right, right + rows[0], foot, foot * (1.0 - RIGHT_LEG_SHARE), *rows[2:]]
    at_cables = potentials_at_cables(np.array(potentials), arrangement.cables)
    leads = tuple(map(str, STANDARD_LEADS))
    return replace(recording, leads=leads, microvolts=leads_from_potentials(at_cables))


def _told_table(checked: Sequence[Checked]) -> Table:
    kinds: tuple[tuple[str, Callable[[ArrangementGroup], bool]], ...] = (
        ("limb", lambda group: group is ArrangementGroup.LIMB),
        ("cable on the right leg", lambda group: group is ArrangementGroup.RIGHT_LEG),
        ("LA–LL", lambda group: group is ArrangementGroup.LEFT_ARM_LEFT_LEG),
        (
            "chest",
            lambda group: group in {ArrangementGroup.CHEST_PAIR, ArrangementGroup.CHEST_ROW},
        ),
        ("limb–chest", lambda group: group is ArrangementGroup.LIMB_CHEST),
    )
    rows = []
    for name, belongs in GROUPS.items():
        part = [each for each in checked if belongs(each.of)]
        cells = [name]
        for _, is_wanted in kinds:
            own = [each for each in part if is_wanted(each.hung.group)]
            cells.append(rate(sum(each.is_told for each in own), len(own)) if own else "–")
        told = [each for each in part if each.is_told]
        cells.append(rate(sum(each.is_named for each in told), len(told)) if told else "–")
        rows.append(tuple(cells))
    return Table(
        title="Cables: whole recordings, end to end",
        about=(
            f"The reported half, {OF_EACH} exchanges of each recording in turn through all, every "
            "sample rearranged and the whole check run on it: noise, boundaries, policy and all. "
            "Named: the cables told are those that hang elsewhere."
        ),
        columns=("people", *(name for name, _ in kinds), "rightly named"),
        rows=tuple(rows),
    )


def _interval_table(checked: Sequence[Checked]) -> Table:
    limbs = {Electrode.RA, Electrode.LA, Electrode.LL}
    parts = {
        "inside the limbs": [each for each in checked if set(each.hung.displaced) <= limbs],
        "inside the chest": [
            each for each in checked if set(each.hung.displaced) <= set(CHEST_ELECTRODES)
        ],
    }
    rows = []
    for name, part in parts.items():
        for measure, unit in _INTERVALS.items():
            changes = _changes(part, measure)
            rows.append(
                (
                    name,
                    f"{measure.value}, {unit}",
                    str(changes.size),
                    f"{np.median(changes):.1f}",
                    f"{np.percentile(changes, 95.0):.1f}",
                    f"{changes.max():.1f}",
                )
            )
    return Table(
        title="Cables: intervals beside an exchange",
        about=(
            "The same recordings: how far each interval of the exchanged recording is from that of "
            "the unchanged one, absolute. The algebra changes none [Batchvarov2007]; what is left "
            "is how boundaries are found in other leads."
        ),
        columns=("exchange", "measure", "pairs", "median", "95 %", "most"),
        rows=tuple(rows),
    )


def _changes(part: Sequence[Checked], name: MeasureName) -> NDArray[np.float64]:
    pairs = [
        (each.before.measures.get(name).value, each.after.measures.get(name).value) for each in part
    ]
    return np.array(
        [abs(then - now) for then, now in pairs if then is not None and now is not None]
    )


def _find_told(assessment: Assessment) -> tuple[Electrode, ...] | None:
    told = (e.electrodes for e in assessment.findings if e.kind is FindingKind.CABLES_EXCHANGED)
    return next(told, None)


def _by_leg(electrodes: tuple[Electrode, ...]) -> frozenset[Electrode]:
    return frozenset(Electrode.LL if each is Electrode.RL else each for each in electrodes)
