"""How often the electrode that is named is the right one, by how sure the check says that it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.quality.fault_kinds import KINDS, FaultSource, Kind, add_at
from benchmarks.quality.faults import ENTERING, clean_recordings
from benchmarks.quality.open_data import is_flagged, read_all, read_ptbxl_rows
from benchmarks.quality.reliability import Bin, draw_reliability
from benchmarks.quality.tables import Picture, Table, rate
from benchmarks.quality.told import told_faults
from couchside.quality import check, thresholds
from couchside.recording import LIMB_ELECTRODES, STANDARD_LEADS, Electrode, Recording

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SEED = 20260104
CASES = 50
"""Of each sort."""
SIZES_UV = (30.0, 50.0, 100.0, 200.0, 400.0)
SIZED = tuple(kind for kind in KINDS if kind.has_size)
STEADY = tuple(kind for kind in KINDS if kind.name in {"mains", "tremor", "movement"})
POWERS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0)
AS_LIKELY = 1.0
"""Powers whose log likelihoods differ by no more cannot be told apart."""
BINS = (0.0, 0.8, 0.9, 0.95, 0.98, 1.0001)


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """One finding that names one electrode."""

    sort: str
    confidence: float
    is_right: bool

    @property
    def margin(self) -> float:
        """Over the next best choice, from the confidence that it was turned into."""
        return float(1.0 - (2.0 * (1.0 - self.confidence)) ** (1.0 / thresholds.DOUBT_POWER))


Case = tuple[Recording, set[Electrode], set[tuple[Electrode, ...]]]
"""A recording, the electrodes at fault, and what was told before any fault was put in."""


def measure_confidence(folder: Path) -> list[Table]:
    """Reliability on the reported half."""
    named = gather_named(folder, 1)
    rows = [
        (f"{100 * low:.0f}–{100 * min(high, 1.0):.0f} %", *_in_bin(named, low, high))
        for low, high in pairwise(BINS)
    ]
    rows += [
        (sort, *_in_bin([each for each in named if each.sort == sort], 0.0, 2.0)) for sort in SORTS
    ]
    rows.append(("all", *_in_bin(named, 0.0, 2.0)))
    return [
        Table(
            title="How sure of the electrode",
            about=(
                f"{CASES} cases of each sort on the clean recordings of odd place; the curve was "
                "fitted on those of even place. Kinds, electrodes and sizes of 30 to 400 µV are "
                "drawn. Every finding that names one electrode counts, but for those that a noisy "
                "recording (one of PTB-XL on which an annotator remarked) had before. A confidence "
                "is calibrated where the electrode is right as often as it says."
            ),
            columns=("confidence said, or sort", "mean of what was said", "electrode right"),
            rows=tuple(rows),
            picture=Picture(
                name="reliability.png",
                words="How often the named electrode was right, over the confidence that was said",
                png=draw_reliability(_fill_bins(named)),
            ),
        )
    ]


def fit_confidence(folder: Path) -> list[Table]:
    """The power by which doubt falls with the margin, by maximum likelihood on the even half."""
    named = gather_named(folder, 0)
    margins = np.array([each.margin for each in named])
    right = np.array([each.is_right for each in named])
    likelihoods = {power: _log_likelihood(power, margins, right) for power in POWERS}
    enough = max(likelihoods.values()) - AS_LIKELY
    chosen = min(power for power, each in likelihoods.items() if each >= enough)
    return [
        Table(
            title="Fit of the confidence",
            about=(
                f"{len(named)} findings, {right.mean():.3f} right; those of the highest confidence "
                "count with the margin at which it is reached. Of powers about as likely as the "
                f"best the least, which doubts most: {chosen:g}; in use as "
                f"thresholds.DOUBT_POWER: {thresholds.DOUBT_POWER:g}."
            ),
            columns=("power", "log likelihood"),
            rows=tuple((f"{power:g}", f"{each:.2f}") for power, each in likelihoods.items()),
        )
    ]


def _log_likelihood(power: float, margins: FloatArray, right: BoolArray) -> float:
    """Of what was right and wrong, if the confidence were of that power; never over the most."""
    sure = np.minimum(1.0 - 0.5 * (1.0 - margins) ** power, thresholds.MOST_SURE)
    return float(np.log(np.where(right, sure, 1.0 - sure)).sum())


def gather_named(folder: Path, half: int) -> list[Named]:
    """Every finding that names one electrode, over all cases of one half."""
    source = FaultSource(folder)
    clean = clean_recordings(folder)[half::2]
    noisy = _noisy_recordings(folder)[half::2]
    return list(name_all(clean, noisy, source))


def name_all(
    clean: Sequence[Recording], noisy: Sequence[Recording], source: FaultSource
) -> Iterator[Named]:
    """As `gather_named`, of given recordings."""
    for place, (sort, make) in enumerate(SORTS.items()):
        among = noisy if sort == NOISY else clean
        for number in range(CASES):
            chance = np.random.default_rng([SEED, place, number])
            case = make(among[number * 7 % len(among)], source, chance)
            yield from _name(sort, case)


def _name(sort: str, case: Case) -> Iterator[Named]:
    recording, places, before = case
    for found in told_faults(check(recording)):
        if len(found.electrodes) != 1:
            continue
        is_right = found.electrodes[0] in places
        if is_right or found.electrodes not in before:
            yield Named(sort=sort, confidence=found.confidence, is_right=is_right)


def _noisy_recordings(folder: Path) -> list[Recording]:
    rows = read_ptbxl_rows(folder)
    return [
        recording
        for name, recording in read_all(folder, "ptbxl")
        if is_flagged(rows[name]) and all(recording.has_lead(lead) for lead in STANDARD_LEADS)
    ]


def _faults(
    count: int,
) -> Callable[[Recording, FaultSource, np.random.Generator], Case]:
    def make(recording: Recording, source: FaultSource, chance: np.random.Generator) -> Case:
        places: set[Electrode] = set()
        for _ in range(count):
            kind = SIZED[int(chance.integers(len(SIZED)))]
            electrode = _draw_electrode(kind, places, chance)
            size_uv = float(chance.choice(SIZES_UV)) * (2.0 if kind.name == "wander" else 1.0)
            recording = source.put_in(recording, kind, electrode, size_uv, chance)
            places.add(electrode)
        return recording, places, set()

    return make


def _in_noise(recording: Recording, source: FaultSource, chance: np.random.Generator) -> Case:
    before = {each.electrodes for each in told_faults(check(recording))}
    faulty, places, _ = _faults(1)(recording, source, chance)
    return faulty, places, before


def _for_a_moment(recording: Recording, source: FaultSource, chance: np.random.Generator) -> Case:
    kind = STEADY[int(chance.integers(len(STEADY)))]
    electrode = _draw_electrode(kind, set(), chance)
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    start_s = chance.uniform(0.5, recording.duration_s - 2.5)
    there = (seconds >= start_s) & (seconds < start_s + chance.uniform(1.0, 2.0))
    size_uv = float(chance.choice(SIZES_UV)) * 2.0
    noise_uv = size_uv * source.draw(kind, recording, chance) * there
    return add_at(recording, electrode, noise_uv), {electrode}, set()


def _draw_electrode(kind: Kind, taken: set[Electrode], chance: np.random.Generator) -> Electrode:
    among = LIMB_ELECTRODES[:3] if kind.at_limbs else ENTERING
    free = [each for each in among if each not in taken] or [
        each for each in ENTERING if each not in taken
    ]
    return free[int(chance.integers(len(free)))]


NOISY = "one fault in a noisy recording"
SORTS: dict[str, Callable[[Recording, FaultSource, np.random.Generator], Case]] = {
    "one fault": _faults(1),
    "two faults": _faults(2),
    "three faults": _faults(3),
    "one fault for 1 to 2 s": _for_a_moment,
    NOISY: _in_noise,
}


def _fill_bins(named: Sequence[Named]) -> list[Bin]:
    parts = [
        [each for each in named if low <= each.confidence < high] for low, high in pairwise(BINS)
    ]
    return [
        Bin(
            said=float(np.mean([each.confidence for each in part])),
            right=sum(each.is_right for each in part),
            total=len(part),
        )
        for part in parts
        if part
    ]


def _in_bin(named: Iterable[Named], low: float, high: float) -> tuple[str, str]:
    part = [each for each in named if low <= each.confidence < high]
    if not part:
        return "–", "0 of 0"
    mean = float(np.mean([each.confidence for each in part]))
    return f"{100 * mean:.0f} %", rate(sum(each.is_right for each in part), len(part))
