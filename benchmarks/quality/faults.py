"""Faults put in at one electrode, and whether the check names it and the kind of fault.

Two sources: simulated recordings with simulated faults, and real clean recordings with real noise
(MIT-BIH NSTDB) or synthetic mains added through the lead matrix.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

import numpy as np
import wfdb
from numpy.typing import NDArray
from scipy.signal import butter, resample_poly, sosfiltfilt

from benchmarks.quality.open_data import is_flagged, read_all, read_ludb, read_ptbxl_rows
from benchmarks.quality.tables import Table, rate
from couchside.quality import Assessment, Band, FindingKind, check
from couchside.quality.attribution import SOLVABLE_ELECTRODES
from couchside.recording import ELECTRODES, STANDARD_LEADS, Electrode, Recording, get_lead_matrix
from couchside.simulate import Fault, FaultKind, Scenario, demo_round, simulate

FloatArray = NDArray[np.float64]

AMPLITUDES_UV = (30.0, 50.0, 100.0, 200.0, 300.0, 500.0)
RECORDINGS = 20
SEED = 20260101
NSTDB_RATE_HZ = 360
PEAK_TO_PEAK_OVER_SINE_RMS = 2.0 * np.sqrt(2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of fault, and what the check should call it."""

    name: str
    finding: FindingKind
    band: Band
    also: tuple[FindingKind, ...] = ()


KINDS = (
    Kind(name="wander", finding=FindingKind.WANDER, band=Band.WANDER),
    Kind(name="mains", finding=FindingKind.MAINS, band=Band.MAINS),
    Kind(name="tremor", finding=FindingKind.MUSCLE_TREMOR, band=Band.MUSCLE),
    Kind(
        name="movement", finding=FindingKind.MOVEMENT, band=Band.MOVEMENT, also=(FindingKind.POP,)
    ),
)


@dataclass(slots=True)
class Tally:
    """What came of many faults of one kind and size."""

    total: int = 0
    strongest: int = 0
    noticed: int = 0
    electrode: int = 0
    kind: int = 0

    def count(self, assessment: Assessment, kind: Kind, electrode: Electrode) -> None:
        """Add one recording."""
        self.total += 1
        self.strongest += _strongest(assessment, kind.band) == electrode
        findings = [each for each in assessment.findings if each.kind in _NOISE]
        if not findings:
            return
        self.noticed += 1
        self.electrode += findings[0].electrodes == (electrode,)
        self.kind += findings[0].kind in {kind.finding, *kind.also}

    def add(self, other: Tally) -> None:
        """Add what another tally counted."""
        self.total += other.total
        self.strongest += other.strongest
        self.noticed += other.noticed
        self.electrode += other.electrode
        self.kind += other.kind


_NOISE = {
    FindingKind.WANDER,
    FindingKind.MAINS,
    FindingKind.MUSCLE_TREMOR,
    FindingKind.MOVEMENT,
    FindingKind.POP,
    FindingKind.LOST_CONTACT,
}


def measure_faults(folder: Path) -> list[Table]:
    """Both sources, by kind and amplitude."""
    about = (
        'Amplitudes are µV rms at the electrode over the whole recording. "Strongest": the '
        "electrode with most noise in that band is the right one. Of the recordings in which noise "
        "was noticed at all: the first finding names that electrode alone, and its kind."
    )
    columns = ("fault", "µV rms", "strongest", "noticed", "electrode right", "kind right")
    return [
        Table(
            title="One faulty electrode, real recordings with real noise added",
            about=f"LUDB (integers as µV) and unflagged PTB-XL with NSTDB noise. {about}",
            columns=columns,
            rows=tuple(_real_rows(folder)),
        ),
        Table(
            title="One faulty electrode, simulated",
            about=f"Simulated hearts and faults. {about}",
            columns=columns,
            rows=tuple(_simulated_rows()),
        ),
    ]


def _real_rows(folder: Path) -> Iterator[tuple[str, ...]]:
    clean = _clean_recordings(folder)
    noises = NoiseSource(folder)
    chance = np.random.default_rng(SEED)
    whole = Tally()
    for kind in KINDS:
        for amplitude_uv in AMPLITUDES_UV:
            tally = Tally()
            for recording in clean:
                electrode = SOLVABLE_ELECTRODES[chance.integers(len(SOLVABLE_ELECTRODES))]
                noise = noises.draw(kind, recording, chance) * amplitude_uv
                tally.count(check(add_at(recording, electrode, noise)), kind, electrode)
            whole.add(tally)
            yield _row(kind.name, f"{amplitude_uv:g}", tally)
    yield _row("all", "30–500", whole)


def add_at(recording: Recording, electrode: Electrode, noise_uv: FloatArray) -> Recording:
    """The recording with a potential added at one electrode."""
    column = get_lead_matrix(recording.leads)[:, ELECTRODES.index(electrode)]
    return replace(recording, microvolts=recording.microvolts + column[:, None] * noise_uv)


class NoiseSource:
    """Stretches of noise of 1 µV rms, cut from NSTDB or drawn."""

    def __init__(self, folder: Path) -> None:
        self._recorded = {
            name: wfdb.rdrecord(str(folder / "nstdb" / name)).p_signal[:, 0]
            for name in ("bw", "ma", "em")
        }

    def draw(self, kind: Kind, recording: Recording, chance: np.random.Generator) -> FloatArray:
        """As many samples as the recording has."""
        if kind.name == "mains":
            return self._mains(recording, chance)
        name, band_hz = _RECORDED_AS[kind.name]
        seconds = recording.sample_count / recording.rate_hz + 4.0
        length = int(seconds * NSTDB_RATE_HZ)
        source = self._recorded[name]
        start = int(chance.integers(len(source) - length))
        cut = resample_poly(source[start : start + length], int(recording.rate_hz), NSTDB_RATE_HZ)
        sections = butter(2, band_hz, btype="bandpass", fs=recording.rate_hz, output="sos")
        skip = int(2 * recording.rate_hz)
        noise = sosfiltfilt(sections, cut)[skip : skip + recording.sample_count]
        return _unit(noise)

    @staticmethod
    def _mains(recording: Recording, chance: np.random.Generator) -> FloatArray:
        time_s = np.arange(recording.sample_count) / recording.rate_hz
        mains_hz = chance.choice([50.0, 60.0]) * (1.0 + 0.001 * chance.standard_normal())
        wave = np.sin(2 * np.pi * mains_hz * time_s + chance.uniform(0, 2 * np.pi))
        wave += 0.1 * np.sin(6 * np.pi * mains_hz * time_s + chance.uniform(0, 2 * np.pi))
        return _unit(wave)


_RECORDED_AS: dict[str, tuple[str, tuple[float, float]]] = {
    "wander": ("bw", (0.05, 0.6)),
    "tremor": ("ma", (15.0, 150.0)),
    "movement": ("em", (0.7, 20.0)),
}
"""Every NSTDB record also holds wander; each is cut to the band that its name stands for."""


def _simulated_rows() -> Iterator[tuple[str, ...]]:
    base = next(iter(demo_round()))
    seeds = iter(range(1000, 100000))
    whole = Tally()
    for kind in KINDS:
        for amplitude_uv in AMPLITUDES_UV:
            tally = Tally()
            for number, seed in enumerate(islice(seeds, RECORDINGS)):
                electrode = SOLVABLE_ELECTRODES[number % len(SOLVABLE_ELECTRODES)]
                scenario = _with_fault(base, kind, electrode, amplitude_uv, seed)
                tally.count(check(simulate(scenario).recording), kind, electrode)
            whole.add(tally)
            yield _row(kind.name, f"{amplitude_uv:g}", tally)
    yield _row("all", "30–500", whole)


def _with_fault(
    base: Scenario, kind: Kind, electrode: Electrode, amplitude_uv: float, seed: int
) -> Scenario:
    fault_kind, per_rms = _SIMULATED_AS[kind.name]
    fault = Fault(kind=fault_kind, electrode=electrode, amplitude_uv=amplitude_uv * per_rms)
    return replace(base, name=f"{kind.name}-{seed}", seed=seed, faults=(fault,))


_SIMULATED_AS = {
    "wander": (FaultKind.WANDER, 4.0),
    "mains": (FaultKind.MAINS, PEAK_TO_PEAK_OVER_SINE_RMS),
    "tremor": (FaultKind.MUSCLE, 1.0),
    "movement": (FaultKind.MOVEMENT, 3.0),
}
"""The simulator's amplitudes are peak to peak, peak or rms; these factors bring them to rms."""


def _row(kind: str, amplitude: str, tally: Tally) -> tuple[str, ...]:
    return (
        kind,
        amplitude,
        rate(tally.strongest, tally.total),
        rate(tally.noticed, tally.total),
        rate(tally.electrode, tally.noticed),
        rate(tally.kind, tally.noticed),
    )


def _strongest(assessment: Assessment, band: Band) -> Electrode | None:
    noise = assessment.electrode_noise
    if noise is None or band not in noise.bands:
        return None
    row = np.nan_to_num(noise.noise_rms_uv[noise.bands.index(band)])
    return noise.electrodes[int(np.argmax(row))] if row.any() else None


def _clean_recordings(folder: Path) -> list[Recording]:
    """Real recordings in which the check notices no noise by itself."""
    rows = read_ptbxl_rows(folder)
    unflagged = (
        (name, recording)
        for name, recording in read_all(folder, "ptbxl")
        if not is_flagged(rows[name])
    )
    found = []
    for source in (read_ludb(folder), unflagged):
        quiet = (recording for _, recording in source if _is_quiet(recording))
        found += list(islice(quiet, RECORDINGS))
    return found


def _is_quiet(recording: Recording) -> bool:
    whole = all(recording.has_lead(name) for name in STANDARD_LEADS)
    return whole and not any(each.kind in _NOISE for each in check(recording).findings)


def _unit(noise: FloatArray) -> FloatArray:
    unit: FloatArray = noise / np.sqrt(np.mean(noise**2))
    return unit
