"""Leads misnamed, turned over, scaled, delayed or copied in the file, on open recordings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.quality.tables import Table, rate
from couchside.quality import Finding, FindingKind
from couchside.quality.copies import check_copies
from couchside.quality.folding import named_leads
from couchside.quality.identities import check_identities
from couchside.recording import CHEST_LEADS, LIMB_LEADS, Recording

FloatArray = NDArray[np.float64]
Mistake = tuple[Recording, bool, set[str]]
"""A recording with a mistake put in, whether it moves names, and the leads that are to be named."""
EVERY = 3
STEPS_UV = (1.0, 5.0)


def measure_lead_names(folder: Path) -> list[Table]:
    """Mistakes put into the reported half, and what is said of all recordings as they are."""
    recordings = list(read_recordings(folder))
    part = [each.recording for each in recordings if not each.to_fit][::EVERY]
    part = [each for each in part if not _look(each)]
    rows = [
        (name, *(_share(make, part, step_uv) for step_uv in STEPS_UV))
        for name, make in _MISTAKES.items()
    ]
    return [_as_they_are(recordings), _table(len(part), rows)]


def _look(recording: Recording) -> tuple[Finding, ...]:
    identities = check_identities(recording, ())
    return (*identities, *check_copies(recording, (), named_leads(identities)))


def _share(
    make: Callable[[Recording], Iterable[Mistake]], part: Sequence[Recording], step_uv: float
) -> str:
    right = [
        _is_right(_rounded(recording, step_uv), moved=moved, leads=leads)
        for each in part
        for recording, moved, leads in make(each)
    ]
    return rate(sum(right), len(right))


def _is_right(recording: Recording, *, moved: bool, leads: set[str]) -> bool:
    named = [
        found for found in _look(recording) if not moved or found.kind == FindingKind.LEADS_MISNAMED
    ]
    return any(set(found.leads) == leads for found in named)


def _rounded(recording: Recording, step_uv: float) -> Recording:
    settings = replace(recording.settings, resolution_uv=step_uv)
    microvolts = np.round(recording.microvolts / step_uv) * step_uv
    return replace(recording, microvolts=microvolts, settings=settings)


def _exchanged(recording: Recording) -> Iterator[Mistake]:
    for pair in combinations(map(str, LIMB_LEADS), 2):
        rows = [recording.leads.index(name) for name in pair]
        microvolts = recording.microvolts.copy()
        microvolts[rows] = microvolts[rows[::-1]]
        yield replace(recording, microvolts=microvolts), True, set(pair)


def _changed(
    change: Callable[[FloatArray], FloatArray],
) -> Callable[[Recording], Iterator[Mistake]]:
    def make(recording: Recording) -> Iterator[Mistake]:
        for name in map(str, LIMB_LEADS):
            yield _put(recording, name, change(recording.get_lead(name))), False, {name}

    return make


def _copied(change: Callable[[FloatArray], FloatArray]) -> Callable[[Recording], Iterator[Mistake]]:
    def make(recording: Recording) -> Iterator[Mistake]:
        for first, second in pairwise(CHEST_LEADS):
            signal = change(recording.get_lead(first))
            yield _put(recording, str(second), signal), False, {str(first), str(second)}

    return make


def _put(recording: Recording, name: str, signal: FloatArray) -> Recording:
    microvolts = recording.microvolts.copy()
    microvolts[recording.leads.index(name)] = signal
    return replace(recording, microvolts=microvolts)


_MISTAKES: dict[str, Callable[[Recording], Iterator[Mistake]]] = {
    "two limb leads exchanged": _exchanged,
    "one limb lead upside down": _changed(np.negative),
    "one limb lead 1.2 times as high": _changed(lambda signal: 1.2 * signal),
    "one limb lead 4 samples late": _changed(lambda signal: np.roll(signal, 4)),
    "a chest lead copied to the next": _copied(np.positive),
    "… 0.7 times as high": _copied(lambda signal: 0.7 * signal),
    "… upside down": _copied(np.negative),
    "… 4 samples late": _copied(lambda signal: np.roll(signal, 4)),
}


def _as_they_are(recordings: Sequence[OpenRecording]) -> Table:
    rows = []
    for half, to_fit in (("looked at while choosing", True), ("reported", False)):
        part = [each for each in recordings if each.to_fit == to_fit]
        told = {each.name: _look(each.recording) for each in part}
        which = [f"{name}: {found.sentence}" for name, said in told.items() for found in said]
        some = rate(sum(map(bool, told.values())), len(part))
        rows.append((half, some, " ".join(which) or "–"))
    return Table(
        title="Lead names and copies: recordings as they are",
        about="LUDB (integers as µV), PTB-XL and CinC 2020, halves as for the cables.",
        columns=("recordings", "something told", "what"),
        rows=tuple(rows),
    )


def _table(count: int, rows: Sequence[tuple[str, ...]]) -> Table:
    return Table(
        title="Lead names and copies: mistakes put in",
        about=(
            f"Every {EVERY}rd recording of the reported half of which nothing is told ({count}), "
            "every pair or lead, then rounded to steps of 1 or 5 µV. Right: the finding names "
            "these leads and no other; of an exchange, that the names are exchanged; of a copy "
            "among chest leads, both, for nothing tells which of the two it is."
        ),
        columns=("mistake", "steps of 1 µV", "steps of 5 µV"),
        rows=tuple(rows),
    )
