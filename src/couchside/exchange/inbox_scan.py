"""Which files of a folder are complete recordings by now; knows no disk and no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class FileState:
    """A file as the folder lists it; while it is being written, this changes."""

    byte_count: int
    modified_ns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What a look into a file tells: whether some reader knows it, and the files it refers to.

    `tells_its_end` says that the bytes themselves state how much there must be, of this file and of
    those it refers to, so that a reader refuses what is not all there.
    """

    is_recording: bool
    tells_its_end: bool = False
    companions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How long to wait, in seconds without a change.

    Parameters
    ----------
    settle_s : float
        Until a file is taken to be written to its end.
    told_end_s : float
        The same for a file that tells its end, and for those that it refers to.
    companions_s : float
        For files that a header names, and for a header that names a file.
    unreadable_s : float
        Until a file that cannot be read is given up: its writer may have paused.
    """

    settle_s: float = 2.0
    told_end_s: float = 0.3
    companions_s: float = 60.0
    unreadable_s: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """A file as it was last seen, and since when it has looked so."""

    state: FileState
    since_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The files of one recording, the one to read first in front; unchanged for so long."""

    names: tuple[str, ...]
    unchanged_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """What is ready, and what to remember for the next scan."""

    ready: tuple[Group, ...] = ()
    sightings: Mapping[str, Sighting] = field(default_factory=dict)


def scan(
    listing: Mapping[str, FileState],
    before: Scan,
    *,
    now_s: float,
    look: Callable[[str], Contents],
    pace: Pace,
) -> Scan:
    """Find the recordings that are complete.

    A file is settled once it has not changed for a while. A recording is ready when every file that
    it refers to is settled too; where one does not come, what there is is ready after a longer
    wait, and so is a file that no reader knows and no header names.
    """
    sightings = {name: _sight(name, state, before, now_s) for name, state in listing.items()}
    ages_s = {name: now_s - sighting.since_s for name, sighting in sightings.items()}
    contents = _look_into_settled(ages_s, look, pace)
    named = {companion for each in contents.values() for companion in each.companions}
    groups = (_gather(name, contents) for name in contents if name not in named)
    return Scan(
        ready=tuple(
            Group(names=present, unchanged_s=min(ages_s[name] for name in present))
            for group in groups
            if (present := tuple(name for name in group if name in listing))
            and _is_ready(group, contents, ages_s, pace)
        ),
        sightings=sightings,
    )


def _look_into_settled(
    ages_s: Mapping[str, float], look: Callable[[str], Contents], pace: Pace
) -> dict[str, Contents]:
    least_s = min(pace.told_end_s, pace.settle_s)
    seen = {name: look(name) for name in sorted(ages_s) if ages_s[name] >= least_s}
    told = {name for name, each in seen.items() if each.tells_its_end}
    told |= {companion for name in told for companion in seen[name].companions}
    return {
        name: each for name, each in seen.items() if ages_s[name] >= pace.settle_s or name in told
    }


def _sight(name: str, state: FileState, before: Scan, now_s: float) -> Sighting:
    known = before.sightings.get(name)
    if known is not None and known.state == state:
        return known
    return Sighting(state=state, since_s=now_s)


def _gather(first: str, contents: Mapping[str, Contents]) -> tuple[str, ...]:
    """A file, those that it refers to, and those that they refer to, each once."""
    group = [first]
    for name in group:
        companions = contents[name].companions if name in contents else ()
        group.extend(each for each in companions if each not in group)
    return tuple(group)


def _is_ready(
    group: tuple[str, ...],
    contents: Mapping[str, Contents],
    ages_s: Mapping[str, float],
    pace: Pace,
) -> bool:
    present = [name for name in group if name in ages_s]
    if not all(name in contents for name in present):
        return False
    is_whole = len(present) == len(group) and contents[group[0]].is_recording
    return is_whole or min(ages_s[name] for name in present) >= pace.companions_s
