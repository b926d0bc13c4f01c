"""The open annotated recordings, as Couchside sees them and as the experts marked them."""

from __future__ import annotations

import csv
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.io import loadmat

from couchside.recording import Recording, canonical_lead_name

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # wfdb uses what pandas has deprecated
    import wfdb

FloatArray = NDArray[np.float64]


class Part(StrEnum):
    """Each database is split once and for all: one part to fit on, one to report."""

    TUNE = "tune"
    REPORT = "report"


class Wave(StrEnum):
    """The waves that experts mark."""

    P = "P"
    QRS = "QRS"
    T = "T"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One wave as an expert marked it, in samples; NaN where the expert left a boundary out."""

    wave: Wave
    onset: float
    peak: float
    offset: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Annotated:
    """A recording with its marks.

    Parameters
    ----------
    name : str
        Record name.
    recording : Recording
        The samples.
    marks : tuple of tuple of Mark
        For each lead; where the experts marked all leads in one, the same for each.
    rhythm : str
        As the database states it; empty where it does not.
    overall : tuple of Mark
        Boundaries over all leads, where these are known by themselves.
    """

    name: str
    recording: Recording
    marks: tuple[tuple[Mark, ...], ...]
    rhythm: str = ""
    overall: tuple[Mark, ...] = ()


def read_ludb(folder: Path, part: Part) -> Iterator[Annotated]:
    """LUDB: odd record numbers to tune, even ones to report [Kalyakulina2020]."""
    data = folder / "ludb" / "data"
    numbers = sorted(int(path.stem) for path in data.glob("*.hea"))
    rhythms = _read_ludb_rhythms(folder / "ludb" / "ludb.csv")
    for number in numbers:
        if (number % 2 == 1) == (part is Part.TUNE):
            record = wfdb.rdrecord(str(data / str(number)))
            marks = tuple(
                _read_marks(data / str(number), name.casefold()) for name in record.sig_name
            )
            yield Annotated(
                name=str(number),
                recording=_make_recording(record),
                marks=marks,
                rhythm=rhythms.get(number, ""),
            )


def read_qtdb(folder: Path, part: Part) -> Iterator[Annotated]:
    """QT Database: the first half of the records by name to tune, the second to report."""
    paths = sorted((folder / "qtdb").glob("*.hea"))
    half = len(paths) // 2
    for path in paths[:half] if part is Part.TUNE else paths[half:]:
        record = wfdb.rdrecord(str(path.with_suffix("")))
        marks = _read_marks(path.with_suffix(""), "q1c")
        yield Annotated(
            name=path.stem,
            recording=_make_recording(record),
            marks=(marks,) * record.n_sig,
        )


def read_mitdb(folder: Path, part: Part) -> Iterator[tuple[str, Recording, FloatArray]]:
    """MIT-BIH: records by name, every other one from the first on to tune, the rest to report.

    Yields the name, the recording with both leads, and the samples of the beats.
    """
    paths = sorted((folder / "mitdb").glob("*.hea"))
    for path in paths[0::2] if part is Part.TUNE else paths[1::2]:
        stem = str(path.with_suffix(""))
        annotation = wfdb.rdann(stem, "atr")
        beats = [
            sample
            for sample, symbol in zip(annotation.sample, annotation.symbol, strict=True)
            if symbol in _BEAT_SYMBOLS
        ]
        yield path.stem, _make_recording(wfdb.rdrecord(stem)), np.array(beats, dtype=np.float64)


def read_fibrillation(
    folder: Path, part: Part
) -> Iterator[tuple[str, Recording, tuple[float, float]]]:
    """Recordings with atrial fibrillation, by the databases' own labels.

    Yields the database, the recording, and the span in ms within which beats count.
    """
    for annotated in read_ludb(folder, part):
        if "fibrillation" in annotated.rhythm:
            yield "LUDB", annotated.recording, (0.0, annotated.recording.duration_s * 1000.0)
    for name, recording in _read_labelled(folder, part):
        yield name, recording, (0.0, recording.duration_s * 1000.0)


def choose_leads(annotated: Annotated, leads: tuple[str, ...]) -> Annotated:
    """The same recording as if it had only these leads; what is known over all leads is dropped."""
    recording = annotated.recording
    rows = [recording.leads.index(lead) for lead in leads]
    return Annotated(
        name=annotated.name,
        recording=Recording(
            leads=leads, microvolts=recording.microvolts[rows], rate_hz=recording.rate_hz
        ),
        marks=tuple(annotated.marks[row] for row in rows),
        rhythm=annotated.rhythm,
    )


FEW_LEADS = (("II",), ("V1",), ("V5",), ("I", "II"), ("II", "V1"), ("II", "V5"))
"""Recordings of one or two leads, as strips and recorders with few wires have them."""


def stretch_around_marks(annotated: Annotated, margin_s: float) -> Annotated:
    """The stretch of a long recording that holds the marks, with a margin on either side."""
    recording = annotated.recording
    places = [mark.peak for marks in annotated.marks for mark in marks]
    margin = margin_s * recording.rate_hz
    start = max(int(min(places) - margin), 0)
    stop = min(int(max(places) + margin), recording.sample_count)
    shifted = tuple(
        tuple(
            Mark(
                wave=mark.wave,
                onset=mark.onset - start,
                peak=mark.peak - start,
                offset=mark.offset - start,
            )
            for mark in marks
        )
        for marks in annotated.marks
    )
    return Annotated(
        name=annotated.name,
        recording=Recording(
            leads=recording.leads,
            microvolts=recording.microvolts[:, start:stop],
            rate_hz=recording.rate_hz,
        ),
        marks=shifted,
        rhythm=annotated.rhythm,
    )


_BEAT_SYMBOLS = frozenset("NLRBAaJSVrFejnE/fQ?")
"""WFDB's annotation codes that stand for a QRS."""

_WAVE_OF_SYMBOL = {"p": Wave.P, "t": Wave.T} | dict.fromkeys(_BEAT_SYMBOLS, Wave.QRS)


def _make_recording(record: wfdb.Record) -> Recording:
    return Recording(
        leads=tuple(canonical_lead_name(name) for name in record.sig_name),
        microvolts=record.p_signal.T * 1000.0,
        rate_hz=float(record.fs),
    )


def _read_marks(stem: Path, extension: str) -> tuple[Mark, ...]:
    annotation = wfdb.rdann(str(stem), extension)
    marks: list[Mark] = []
    onset, peak, wave = np.nan, np.nan, None
    for sample, symbol in zip(annotation.sample, annotation.symbol, strict=True):
        if symbol == "(":
            onset, wave = float(sample), None
        elif symbol in _WAVE_OF_SYMBOL:
            peak, wave = float(sample), _WAVE_OF_SYMBOL[symbol]
        elif symbol == ")" and wave is not None:
            marks.append(Mark(wave=wave, onset=onset, peak=peak, offset=float(sample)))
            onset, wave = np.nan, None
        else:
            onset, wave = np.nan, None
    return tuple(marks)


def _read_ludb_rhythms(path: Path) -> dict[int, str]:
    with path.open(newline="", encoding="utf-8") as lines:
        return {int(row["ID"]): " ".join(row["Rhythms"].split()) for row in csv.DictReader(lines)}


_FIBRILLATION_CODE = "164889003"
"""SNOMED CT: atrial fibrillation."""


def _read_labelled(folder: Path, part: Part) -> Iterator[tuple[str, Recording]]:
    """CinC 2020 and PTB-XL: of all records by name, every other one from the second on to tune."""
    chosen = 1 if part is Part.TUNE else 0
    for path in sorted((folder / "cinc2020").glob("*.hea"))[chosen::2]:
        if _FIBRILLATION_CODE in path.read_text():
            yield "CinC 2020", _read_cinc(path)
    with (folder / "ptbxl" / "ptbxl_database.csv").open(newline="", encoding="utf-8") as lines:
        rows = sorted(csv.DictReader(lines), key=lambda row: int(row["ecg_id"]))
    for row in rows[chosen::2]:
        if "'AFIB'" in row["scp_codes"]:
            stem = next((folder / "ptbxl").rglob(Path(row["filename_hr"]).name + ".hea"))
            yield "PTB-XL", _make_recording(wfdb.rdrecord(str(stem.with_suffix(""))))


def _read_cinc(path: Path) -> Recording:
    """Signals from the .mat file: some headers carry a date that strict readers refuse."""
    header = [line.split() for line in path.read_text().splitlines()]
    count, rate_hz = int(header[0][1]), float(header[0][2])
    signals = header[1 : count + 1]
    gains = np.array([float(fields[2].split("/")[0].split("(")[0]) for fields in signals])
    values = loadmat(path.with_suffix(".mat"))["val"].astype(np.float64)
    return Recording(
        leads=tuple(canonical_lead_name(fields[-1]) for fields in signals),
        microvolts=values / gains[:, None] * 1000.0,
        rate_hz=rate_hz,
    )
