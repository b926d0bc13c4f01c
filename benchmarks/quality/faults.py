"""Faults put in at electrodes, and whether the check names the electrode and the kind of fault.

Two sources: real clean recordings with real noise (MIT-BIH NSTDB) or drawn faults added through
the lead matrix, and simulated recordings with simulated faults. Rules were chosen on recordings of
even place in the list of clean ones; those of odd place are reported.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from benchmarks.quality.fault_kinds import KINDS, FaultSource, Kind
from benchmarks.quality.harder_faults import measure_harder
from benchmarks.quality.open_data import is_flagged, read_all, read_ludb, read_ptbxl_rows
from benchmarks.quality.tables import Table, rate
from benchmarks.quality.told import told_faults
from couchside.quality import Assessment, check
from couchside.recording import (
    ELECTRODES,
    LIMB_ELECTRODES,
    STANDARD_LEADS,
    Electrode,
    Recording,
)
from couchside.simulate import Fault, Scenario, random_scenario, simulate

AMPLITUDES_UV = (30.0, 50.0, 100.0, 200.0, 300.0, 500.0)
RECORDINGS = 18
SEED = 20260101
ENTERING = tuple(each for each in ELECTRODES if each != Electrode.RL)
"""The electrodes that enter a lead."""


@dataclass(slots=True)
class Tally:
    """What came of many faults of one kind and size."""

    total: int = 0
    noticed: int = 0
    electrode: int = 0
    kind: int = 0

    def count(self, assessment: Assessment, kind: Kind, electrode: Electrode) -> None:
        """Add one recording."""
        self.total += 1
        findings = told_faults(assessment)
        if not findings:
            return
        self.noticed += 1
        self.electrode += findings[0].electrodes == (electrode,)
        self.kind += findings[0].kind in {kind.finding, *kind.also}

    def add(self, other: Tally) -> None:
        """Add what another tally counted."""
        self.total += other.total
        self.noticed += other.noticed
        self.electrode += other.electrode
        self.kind += other.kind

    def row(self, *names: str) -> tuple[str, ...]:
        """As a row of the table."""
        return (
            *names,
            rate(self.noticed, self.total),
            rate(self.electrode, self.noticed),
            rate(self.kind, self.noticed),
        )


Make = Callable[[int, Kind, Electrode, float], Recording]
"""A recording by its number with one fault of a kind, at an electrode, of a size."""


_ABOUT = (
    "Amplitudes are µV rms at the electrode over the whole recording. Of the recordings in which a "
    "fault was noticed at all: the first finding names that electrode alone, and its kind."
)
_COLUMNS = ("fault", "µV rms", "noticed", "electrode right", "kind right")


def measure_put_in(folder: Path) -> list[Table]:
    """Faults put into real recordings, by kind and amplitude."""
    odd = clean_recordings(folder)[1::2]
    return [
        Table(
            title="One faulty electrode, real recordings with real noise added",
            about=(
                "LUDB (integers as µV) and unflagged PTB-XL in which nothing is noticed without "
                "the fault; rules were chosen on those of even place, these are the odd ones. "
                f"Wander, tremor and movement are NSTDB noise, the rest is drawn. {_ABOUT}"
            ),
            columns=_COLUMNS,
            rows=tuple(one_fault_rows(_put_in(odd, FaultSource(folder)))),
        )
    ]


def measure_simulated(_: Path) -> list[Table]:
    """Faults of simulated recordings, by kind and amplitude."""
    return [
        Table(
            title="One faulty electrode, simulated",
            about=f"Simulated hearts and faults. {_ABOUT}",
            columns=_COLUMNS,
            rows=tuple(one_fault_rows(_simulate)),
        )
    ]


def measure_harder_to_trace(folder: Path) -> list[Table]:
    """Two faults at once, faults for a while, fewer leads, the right leg."""
    odd = clean_recordings(folder)[1::2]
    return [
        Table(
            title="Faults that are harder to trace, real recordings",
            about=(
                "The odd clean recordings again. Two faults: kinds and electrodes drawn; right is "
                "who names both electrodes and no other. For a while: one fault of 200 µV rms "
                "during 2 to 4 s. Eight leads: I, II and V1–V6 alone. Right leg: mains in step at "
                "every electrode by its own share; right is the right leg, or no electrode."
            ),
            columns=("what", "recordings", "noticed", "right"),
            rows=tuple(measure_harder(odd, FaultSource(folder))),
        )
    ]


def one_fault_rows(make: Make, kinds: Iterable[Kind] = KINDS) -> Iterator[tuple[str, ...]]:
    """A row for each kind and size, and one for each kind and for all."""
    whole = Tally()
    for kind in kinds:
        of_kind = Tally()
        sizes_uv = AMPLITUDES_UV if kind.has_size else (1.0,)
        for size_uv in sizes_uv:
            tally = _count_faults(make, kind, size_uv)
            of_kind.add(tally)
            if kind.has_size:
                yield tally.row(kind.name, f"{size_uv:g}")
        yield of_kind.row(kind.name, "30–500" if kind.has_size else "–")
        whole.add(of_kind)
    yield whole.row("all", "30–500")


def _count_faults(make: Make, kind: Kind, size_uv: float) -> Tally:
    tally = Tally()
    for number in range(RECORDINGS):
        electrode = choose_electrode(kind, number)
        tally.count(check(make(number, kind, electrode, size_uv)), kind, electrode)
    return tally


def choose_electrode(kind: Kind, number: int) -> Electrode:
    """One after the other, of those at which this kind comes about."""
    among = LIMB_ELECTRODES[:3] if kind.at_limbs else ENTERING
    return among[number % len(among)]


def _put_in(clean: list[Recording], source: FaultSource) -> Make:
    def make(number: int, kind: Kind, electrode: Electrode, size_uv: float) -> Recording:
        chance = np.random.default_rng([SEED, number, round(size_uv), KINDS.index(kind)])
        recording = clean[number * 7 % len(clean)]
        return source.put_in(recording, kind, electrode, size_uv, chance)

    return make


def _simulate(number: int, kind: Kind, electrode: Electrode, size_uv: float) -> Recording:
    seed = SEED + 1000 * KINDS.index(kind) + number + round(size_uv) * 100
    return simulate(_with_fault(random_scenario(seed), kind, electrode, size_uv)).recording


def _with_fault(base: Scenario, kind: Kind, electrode: Electrode, amplitude_uv: float) -> Scenario:
    if kind.simulated is None:
        return base
    size_uv = min(amplitude_uv * kind.per_rms, 1e6)
    fault = Fault(kind=kind.simulated, electrode=electrode, amplitude_uv=size_uv)
    return replace(base, faults=(fault,))


def clean_recordings(folder: Path) -> list[Recording]:
    """Real recordings in which the check notices no fault by itself."""
    rows = read_ptbxl_rows(folder)
    unflagged = (
        (name, recording)
        for name, recording in read_all(folder, "ptbxl")
        if not is_flagged(rows[name])
    )
    return [
        recording
        for source in (read_ludb(folder), unflagged)
        for _, recording in source
        if _is_quiet(recording)
    ]


def _is_quiet(recording: Recording) -> bool:
    whole = all(recording.has_lead(name) for name in STANDARD_LEADS)
    return whole and not told_faults(check(recording))
