"""Whether the half-widths hold the reference, and what noise does to the intervals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.accuracy.annotated import FEW_LEADS, Annotated, Part, choose_leads, read_ludb
from benchmarks.accuracy.noise import make_noises
from benchmarks.accuracy.references import ENDS, reference_intervals
from benchmarks.accuracy.simulated import read_simulated, read_written
from couchside.measures import Measured, MeasureName, Measures, measure
from couchside.recording import Recording
from couchside.waves import delineate

SEED = 20260401
EXPERTS, PEOPLE, WRITTEN = "LUDB", "simulated people", "written beats"
NOISY = ", noise added"
FEW = ", one or two leads"


@dataclass(kw_only=True)
class Holding:
    """How often the half-width of one interval holds the reference."""

    held: int = 0
    total: int = 0
    withheld: int = 0
    half_widths_ms: list[float] = field(default_factory=list)

    def add(self, measured: Measured, reference_ms: float) -> None:
        """One recording."""
        if measured.value is None or measured.uncertainty is None:
            self.withheld += measured.reason.startswith("too uncertain")
            return
        self.total += 1
        self.held += abs(measured.value - reference_ms) <= measured.uncertainty
        self.half_widths_ms.append(measured.uncertainty)


@dataclass(kw_only=True)
class Change:
    """What one kind of noise does to one interval."""

    changes_ms: list[float] = field(default_factory=list)
    gone: int = 0
    silent: int = 0

    def add(self, before: Measured, after: Measured) -> None:
        """One recording, clean and with noise; where it had no value clean, nothing is compared."""
        if before.value is None:
            return
        if after.value is None or after.uncertainty is None:
            self.gone += 1
            return
        change_ms = after.value - before.value
        self.changes_ms.append(change_ms)
        self.silent += abs(change_ms) > after.uncertainty

    @property
    def total(self) -> int:
        """Recordings that had a value when clean."""
        return len(self.changes_ms) + self.gone


@dataclass(kw_only=True)
class TrustFigures:
    """Both, by source of the recordings."""

    holding: dict[tuple[MeasureName, str], Holding] = field(default_factory=dict)
    changes: dict[tuple[str, str, MeasureName], Change] = field(default_factory=dict)


def measure_trust(folder: Path, part: Part) -> TrustFigures:
    """Clean and noisy, over LUDB, simulated people and, clean only, written beats."""
    figures, chance = TrustFigures(), np.random.default_rng(SEED)
    noises = list(make_noises(folder, part))
    for source, annotated in _read(folder, part):
        clean = delineate(annotated.recording)
        reference = reference_intervals(annotated, clean)
        before = measure(annotated.recording, clean)
        _add_holding(figures, source, reference, before)
        for leads in FEW_LEADS if source == EXPERTS else ():
            few = choose_leads(annotated, leads)
            waves = delineate(few.recording)
            known, found = reference_intervals(few, waves), measure(few.recording, waves)
            _add_holding(figures, source + FEW, known, found)
        for name, add in noises if source != WRITTEN else ():
            after = _measure(add(annotated.recording, clean, chance))
            _add_holding(figures, source + NOISY, reference, after)
            for interval in ENDS:
                change = figures.changes.setdefault((source, name, interval), Change())
                change.add(before.get(interval), after.get(interval))
    return figures


def _read(folder: Path, part: Part) -> Iterator[tuple[str, Annotated]]:
    for annotated in read_ludb(folder, part):
        yield EXPERTS, annotated
    for annotated in read_simulated(part):
        yield PEOPLE, annotated
    for annotated in read_written(part):
        yield WRITTEN, annotated


def _measure(recording: Recording) -> Measures:
    return measure(recording, delineate(recording))


def _add_holding(
    figures: TrustFigures, source: str, reference: dict[MeasureName, float], measures: Measures
) -> None:
    for interval, reference_ms in reference.items():
        holding = figures.holding.setdefault((interval, source), Holding())
        holding.add(measures.get(interval), reference_ms)
