"""Impulses of pacemakers and pops of electrodes: each told as what it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.quality.fault_kinds import add_at
from benchmarks.quality.tables import Table, rate
from benchmarks.quality.told import told_faults
from couchside.quality import FindingKind, check
from couchside.recording import ELECTRODES, Electrode, Recording
from couchside.simulate import get_scenario, simulate
from couchside.simulate.population import random_patient
from couchside.waves import delineate
from couchside.waves.pacing import find_pacing_spikes

FloatArray = NDArray[np.float64]

FIRST_SEED, PEOPLE = 7000, 40
EVERY = 4
SEED = 20260103
POP_UV, GLITCH_UV = (1000.0, 3000.0), (1000.0, 6000.0)
ENTERING = tuple(each for each in ELECTRODES if each != Electrode.RL)
_PACED_WORDS = ("pace", "pacing", "251266004", "10370003", "11157007")
"""As the databases call a paced rhythm: words, and codes of CinC 2020."""
_LIKE_IMPULSES = frozenset({FindingKind.POP, FindingKind.LOOSE_CONTACT, FindingKind.MUSCLE_TREMOR})

Case = tuple[Recording, Electrode | None]
"""A recording, and the electrode at which a fault was put in, if any."""
AddFault = Callable[[Recording, Electrode, np.random.Generator], Recording]


def measure_pacing(folder: Path) -> list[Table]:
    """Simulated paced people with and without pops, and pops on people without a pacemaker."""
    paced = [_paced_person(number) for number in range(PEOPLE)]
    recordings = [each for each in read_recordings(folder) if not each.to_fit]
    unpaced = [each.recording for each in recordings if not _is_paced(each)][::EVERY]
    really = [each.recording for each in recordings if _is_paced(each)]
    rows = (
        _row("simulated, paced ventricles", _as_recorded(paced)),
        _row("… with pops at one electrode", _with(paced, _add_pops)),
        _row("… with glitches at one electrode", _with(paced, _add_glitches)),
        _row("open recordings, called paced", _as_recorded(really)),
        _row("open recordings, not called paced", _as_recorded(unpaced)),
        _row("… with pops at one electrode", _with(unpaced, _add_pops)),
        _row("… with glitches at one electrode", _with(unpaced, _add_glitches)),
    )
    return [
        Table(
            title="Impulses of pacemakers and pops of electrodes",
            about=(
                f"{PEOPLE} simulated paced people (seeds from {FIRST_SEED}); of the reported half "
                f"of the open recordings the paced ones, and every {EVERY}th other. Pops: three to "
                "five steps of 1 to 3 mV that die away; glitches: as many impulses of 4 ms and 1 "
                "to 6 mV at any time. Nothing was chosen on these. Pop or tremor: a finding of "
                "jumps, loose contact or muscle tremor. Of pops the named electrode should be "
                "the one; a glitch is no jump of level and may go untold."
            ),
            columns=("recordings", "impulses seen", "pop or tremor told", "at that electrode"),
            rows=rows,
        )
    ]


def _paced_person(number: int) -> Recording:
    person = random_patient(FIRST_SEED + number)
    state = replace(get_scenario("paced").state, rate_per_min=55.0 + 5.0 * (number % 9))
    return simulate(replace(person, state=state, faults=())).recording


def _is_paced(each: OpenRecording) -> bool:
    return any(word in each.words.lower() for word in _PACED_WORDS)


def _as_recorded(recordings: Sequence[Recording]) -> list[Case]:
    return [(recording, None) for recording in recordings]


def _with(recordings: Sequence[Recording], add: AddFault) -> list[Case]:
    made: list[Case] = []
    for number, recording in enumerate(recordings):
        electrode = ENTERING[number % len(ENTERING)]
        made.append((add(recording, electrode, np.random.default_rng([SEED, number])), electrode))
    return made


def _add_pops(recording: Recording, electrode: Electrode, chance: np.random.Generator) -> Recording:
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    noise = np.zeros(recording.sample_count)
    for moment_s, height_uv in _draw(recording, POP_UV, chance):
        since_s = np.maximum(seconds - moment_s, 0.0)
        noise += height_uv * (seconds >= moment_s) * np.exp(-since_s / chance.uniform(0.1, 0.4))
    return add_at(recording, electrode, noise)


def _add_glitches(
    recording: Recording, electrode: Electrode, chance: np.random.Generator
) -> Recording:
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    noise = np.zeros(recording.sample_count)
    for moment_s, height_uv in _draw(recording, GLITCH_UV, chance):
        noise += height_uv * np.maximum(1.0 - np.abs(seconds - moment_s) / 0.004, 0.0)
    return add_at(recording, electrode, noise)


def _draw(
    recording: Recording, sizes_uv: tuple[float, float], chance: np.random.Generator
) -> Iterable[tuple[float, float]]:
    count = int(chance.integers(3, 6))
    moments_s = (np.arange(count) + chance.uniform(0.1, 0.9, count)) / count * recording.duration_s
    heights_uv = chance.choice([-1.0, 1.0], count) * chance.uniform(*sizes_uv, count)
    return zip(moments_s.tolist(), heights_uv.tolist(), strict=True)


def _row(name: str, cases: Sequence[Case]) -> tuple[str, ...]:
    seen = told = right = 0
    for recording, electrode in cases:
        seen += find_pacing_spikes(recording, delineate(recording)).count > 0
        found = [each for each in told_faults(check(recording)) if each.kind in _LIKE_IMPULSES]
        told += bool(found)
        right += any(each.electrodes == (electrode,) for each in found)
    faulty = any(electrode is not None for _, electrode in cases)
    shares = (rate(seen, len(cases)), rate(told, len(cases)))
    return (name, *shares, rate(right, told) if faulty else "–")
