"""The figures as Markdown tables, for the terminal and for `docs/validation.md`."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from benchmarks.accuracy.annotated import Part, Wave
from benchmarks.accuracy.measured import WaveFigures
from benchmarks.accuracy.scoring import Score
from couchside.measures import MeasureName

_GOAL_F1 = {Wave.P: "98", Wave.QRS: "99.9", Wave.T: "99.5"}
_EXPERT_SD = {
    (Wave.P, "onset"): "10.2",
    (Wave.P, "offset"): "12.7",
    (Wave.QRS, "onset"): "6.5",
    (Wave.QRS, "offset"): "11.6",
    (Wave.T, "offset"): "30.6",
}
"""Twice the SD between experts [CSE1985, from memory]."""
_PUBLISHED = {
    (Wave.P, "onset"): "2.0 ± 14.8",
    (Wave.P, "offset"): "1.9 ± 12.8",
    (Wave.QRS, "onset"): "4.6 ± 7.7",
    (Wave.QRS, "offset"): "0.8 ± 8.7",
    (Wave.T, "offset"): "−1.6 ± 18.1",
}
"""On the QT Database [Martinez2004, from memory]."""
_IEC = {
    MeasureName.P_DURATION: "10 / 15",
    MeasureName.PR_INTERVAL: "10 / 10",
    MeasureName.QRS_DURATION: "10 / 10",
    MeasureName.QT_INTERVAL: "25 / 30",
}
"""Mean and SD allowed on real recordings [IEC60601-2-25, from memory]."""
_IEC_CALIBRATION = {
    MeasureName.P_DURATION: "10 / 8",
    MeasureName.PR_INTERVAL: "10 / 8",
    MeasureName.QRS_DURATION: "6 / 5",
    MeasureName.QT_INTERVAL: "12 / 10",
}
"""The same on calibration signals."""
_SPLIT = {
    Part.REPORT: (
        "Reported here: LUDB records of even number; the second half of the QT Database by name; "
        "MIT-BIH records by name, every other one from the second on; of PTB-XL and CinC 2020 by "
        "name, every other record from the first on. Everything was fitted and chosen on the other "
        "records."
    ),
    Part.TUNE: "These are the records to which everything was fitted: read no merit from them.",
}


def render_tables(figures: WaveFigures, part: Part) -> str:
    """All tables in Markdown."""
    counts = ", ".join(f"{name} {count}" for name, count in figures.counts.items())
    parts = [
        f"{_SPLIT[part]} Records: {counts}. {_READING}",
        "### QRS detection",
        _detection(figures),
        "### Boundaries in each lead, LUDB",
        _LUDB_NOTE,
        _ludb(figures),
        "### Boundaries, QT Database",
        _QTDB_NOTE,
        _qtdb(figures),
        "### Intervals over all leads, LUDB",
        _INTERVALS_NOTE,
        "As marked:",
        _intervals(figures.intervals, _IEC),
        "Without the marks' own spread:",
        _intervals(figures.without_spread, _IEC),
        "### Intervals over all leads, simulated",
        _SIMULATED_NOTE,
        "People:",
        _intervals(figures.people, _IEC_CALIBRATION),
        "Written beats:",
        _intervals(figures.written, _IEC_CALIBRATION),
        "### P waves given to beats in atrial fibrillation",
        _fibrillation(figures),
    ]
    return "\n\n".join(parts)


_READING = (
    "A detection within 150 ms of a mark is a match; errors are in ms, positive where Couchside is "
    "late or long."
)
_LUDB_NOTE = (
    "Scored between the first and the last mark of each lead. A detection beside a wave that was "
    "marked without this boundary counts neither way. The last column is twice the SD between "
    "experts."
)
_QTDB_NOTE = (
    "The experts marked both leads in one, on chosen beats: the nearer lead counts, and false "
    "alarms cannot be told."
)
_INTERVALS_NOTE = (
    "Reference: each lead's median over the beats of the leading group, then the second earliest "
    "onset and the second latest end over the leads. Of many unsteady readings the outermost lie "
    "too far out: the second table gives the same after the leads' medians were drawn together by "
    "what the spread of the marks within each lead adds to theirs [Louis1984]. Intervals that were "
    "withheld as too uncertain are left out; the section on half-widths counts them."
)
_SIMULATED_NOTE = (
    "Random adults, and beats written from half sines and triangles, with exact boundaries; other "
    "seeds, rates and widths than those that the rules were fitted to. Experts mark a QRS of real "
    "recordings wider than an exact definition would: the rule stands between the two."
)


def _detection(figures: WaveFigures) -> str:
    return make_table(
        ("", "marks", "sensitivity %", "positive predictivity %", "timing SD ms"),
        (
            (name, *_counted(score), f"{score.sd_ms:.1f}")
            for name, score in sorted(figures.detection.items())
        ),
    )


def _counted(score: Score) -> tuple[str, str, str]:
    marks = score.matched + score.missed
    return f"{marks}", f"{100 * score.sensitivity:.2f}", f"{100 * score.predictivity:.2f}"


def _ludb(figures: WaveFigures) -> str:
    return make_table(
        ("", "marks", "sensitivity %", "predictivity %", "F1 %", "goal", "mean ± SD ms", "experts"),
        (
            (
                f"{wave} {_END[side]}",
                *_counted(score),
                f"{100 * score.f1:.2f}",
                _GOAL_F1[wave],
                f"{score.mean_ms:.1f} ± {score.sd_ms:.1f}",
                _EXPERT_SD.get((wave, side), ""),
            )
            for (wave, side), score in figures.ludb.items()
        ),
    )


def _qtdb(figures: WaveFigures) -> str:
    return make_table(
        ("", "marks", "sensitivity %", "mean ± SD ms", "best published", "experts"),
        (
            (
                f"{wave} {_END[side]}",
                *_counted(score)[:2],
                f"{score.mean_ms:.1f} ± {score.sd_ms:.1f}",
                _PUBLISHED.get((wave, side), ""),
                _EXPERT_SD.get((wave, side), ""),
            )
            for (wave, side), score in figures.qtdb.items()
        ),
    )


def _intervals(intervals: dict[MeasureName, list[float]], limits: dict[MeasureName, str]) -> str:
    return make_table(
        ("", "records", "mean ± SD ms", "IEC allows mean / SD"),
        (
            (
                name.replace("_", " "),
                f"{len(errors)}",
                f"{np.mean(errors):.1f} ± {np.std(errors):.1f}",
                limits[name],
            )
            for name, errors in intervals.items()
        ),
    )


def _fibrillation(figures: WaveFigures) -> str:
    return make_table(
        ("", "records", "beats", "given a P", "%"),
        (
            (name, f"{records}", f"{beats}", f"{false}", f"{100 * false / max(beats, 1):.1f}")
            for name, (records, beats, false) in figures.fibrillation.items()
        ),
    )


_END = {"onset": "onset", "offset": "end"}


def make_table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A Markdown table."""
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)
