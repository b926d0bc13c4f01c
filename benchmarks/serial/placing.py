"""Electrodes elsewhere than in the earlier recording: real pairs, the later one moved."""

from __future__ import annotations

from benchmarks.quality.misplacement import DISPLACED, PLACINGS
from benchmarks.quality.tables import Table, rate
from benchmarks.serial.people import Person, Taken, list_own_pairs
from couchside.quality.displacement import Displacement, gain_of_putting_back
from couchside.quality.interchange import find_features
from couchside.quality.misplacement import choose_by_change
from couchside.serial.placing import find_change_since
from couchside.waves import RepresentativeBeat


def measure_placing(people: list[Person]) -> list[Table]:
    """How often each displacement is told of pairs as recorded, and moved by it."""
    parts = [_list_ordered(people, reported=part) for part in (False, True)]
    rows = []
    for displacement, name in DISPLACED.items():
        cells: list[str] = []
        for pairs in parts:
            as_recorded = [_tell(_beat(new), _beat(old)) for new, old in pairs]
            moved = [
                _tell(beat and PLACINGS[name].move(beat), _beat(old))
                for new, old in pairs
                for beat in [_beat(new)]
            ]
            cells += [
                rate(sum(each is displacement for each in told), len(told))
                for told in (as_recorded, moved)
            ]
        rows.append((displacement.value, *cells))
    return [
        Table(
            title="Electrodes elsewhere than then",
            about=(
                "Both recordings of each pair of one PTB-XL person, in either order, as recorded "
                "and with the later one moved to the displaced sites by the torso model's dipole, "
                "which is also the supposed change, so that it flatters. Told by the change since "
                "then; the limit was chosen on the tuning part and on simulated people, the other "
                "part was seen when prices were compared. Where the electrodes sat nobody knows."
            ),
            columns=(
                "displacement",
                "as recorded, tuning",
                "moved, tuning",
                "as recorded, reported",
                "moved, reported",
            ),
            rows=tuple(rows),
        )
    ]


def _list_ordered(people: list[Person], *, reported: bool) -> list[tuple[Taken, Taken]]:
    pairs = list_own_pairs(people, reported=reported)
    return [ordered for new, old in pairs for ordered in ((new, old), (old, new))]


def _tell(new: RepresentativeBeat | None, old: RepresentativeBeat | None) -> Displacement | None:
    features, since = find_features(new), find_change_since(new, old, when="")
    if features is None or features.unknown or since is None:
        return None
    return choose_by_change(gain_of_putting_back(features), since)


def _beat(taken: Taken) -> RepresentativeBeat | None:
    return taken.examined.assessment.waves.representative
