"""Two faults at once, faults for a while, fewer leads, and the right leg."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from benchmarks.quality.fault_kinds import KINDS, FaultSource, Kind, add_at
from benchmarks.quality.tables import rate
from benchmarks.quality.told import told_faults
from couchside.quality import check
from couchside.recording import ELECTRODES, INDEPENDENT_LEADS, Electrode, Recording

COUNT = 40
SEED = 20260102
ENTERING = tuple(each for each in ELECTRODES if each != Electrode.RL)
SIZED = tuple(kind for kind in KINDS if kind.has_size and kind.name != "loose contact")
SIZES_UV = (200.0, 300.0, 500.0)
ONE_SIZE_UV = 200.0


def measure_harder(clean: list[Recording], source: FaultSource) -> Iterator[tuple[str, ...]]:
    """A row for each way in which a fault is harder to trace than alone in twelve leads."""
    yield _two(clean, source)
    yield _for_a_while(clean, source)
    yield _eight_leads(clean, source)
    yield _right_leg(clean)


def _two(clean: list[Recording], source: FaultSource) -> tuple[str, ...]:
    noticed = right = 0
    for number in range(COUNT):
        chance = np.random.default_rng([SEED, number])
        recording = clean[number * 7 % len(clean)]
        places: set[Electrode] = set()
        for _ in range(2):
            kind = SIZED[int(chance.integers(len(SIZED)))]
            electrode = _draw_electrode(kind, places, chance)
            size_uv = float(chance.choice(SIZES_UV)) * (2.0 if kind.name == "wander" else 1.0)
            recording = source.put_in(recording, kind, electrode, size_uv, chance)
            places.add(electrode)
        told = told_faults(check(recording))
        noticed += bool(told)
        right += {each for found in told for each in found.electrodes} == places
    return _row("two faulty electrodes", noticed, right)


def _for_a_while(clean: list[Recording], source: FaultSource) -> tuple[str, ...]:
    noticed = right = 0
    for number in range(COUNT):
        chance = np.random.default_rng([SEED, 1, number])
        recording = clean[number * 7 % len(clean)]
        kind = _WHILE[number % len(_WHILE)]
        electrode = _draw_electrode(kind, set(), chance)
        seconds = np.arange(recording.sample_count) / recording.rate_hz
        start_s = chance.uniform(0.5, recording.duration_s - 4.5)
        there = (seconds >= start_s) & (seconds < start_s + chance.uniform(2.0, 4.0))
        noise = source.draw(kind, recording, chance) * there
        told = told_faults(check(add_at(recording, electrode, ONE_SIZE_UV * noise)))
        noticed += bool(told)
        right += bool(told) and told[0].electrodes == (electrode,)
    return _row("one electrode, for 2 to 4 s", noticed, right, of_noticed=True)


_WHILE = tuple(kind for kind in KINDS if kind.name in {"mains", "tremor", "movement"})


def _eight_leads(clean: list[Recording], source: FaultSource) -> tuple[str, ...]:
    noticed = right = 0
    for number in range(COUNT):
        chance = np.random.default_rng([SEED, 2, number])
        kind = SIZED[number % len(SIZED)]
        electrode = _draw_electrode(kind, set(), chance)
        whole = clean[number * 7 % len(clean)]
        size_uv = ONE_SIZE_UV * (2.0 if kind.name == "wander" else 1.0)
        faulty = source.put_in(whole, kind, electrode, size_uv, chance)
        eight = replace(
            faulty,
            leads=tuple(map(str, INDEPENDENT_LEADS)),
            microvolts=np.array([faulty.get_lead(name) for name in INDEPENDENT_LEADS]),
        )
        told = told_faults(check(eight))
        noticed += bool(told)
        right += bool(told) and told[0].electrodes == (electrode,)
    return _row("one electrode, eight leads", noticed, right, of_noticed=True)


def _right_leg(clean: list[Recording]) -> tuple[str, ...]:
    noticed = right = 0
    for number in range(COUNT):
        chance = np.random.default_rng([SEED, 3, number])
        recording = clean[number * 7 % len(clean)]
        seconds = np.arange(recording.sample_count) / recording.rate_hz
        hum = np.sin(2.0 * np.pi * float(chance.choice([50.0, 60.0])) * seconds)
        lifted_uv = float(chance.uniform(150.0, 800.0))
        for electrode in ENTERING:
            share = float(np.exp(0.45 * chance.standard_normal()))
            recording = add_at(recording, electrode, lifted_uv * share * hum)
        told = told_faults(check(recording))
        noticed += bool(told)
        right += bool(told) and told[0].electrodes in {(), (Electrode.RL,)}
    return _row("right leg open", noticed, right, of_noticed=True)


def _draw_electrode(kind: Kind, taken: set[Electrode], chance: np.random.Generator) -> Electrode:
    among = [each for each in (ENTERING[:3] if kind.at_limbs else ENTERING) if each not in taken]
    return among[int(chance.integers(len(among)))]


def _row(what: str, noticed: int, right: int, *, of_noticed: bool = False) -> tuple[str, ...]:
    return (what, str(COUNT), rate(noticed, COUNT), rate(right, noticed if of_noticed else COUNT))
