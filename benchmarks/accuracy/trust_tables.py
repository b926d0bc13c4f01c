"""The figures of `trust` as Markdown tables."""

from __future__ import annotations

import numpy as np

from benchmarks.accuracy.references import ENDS
from benchmarks.accuracy.tables import make_table
from benchmarks.accuracy.trust import EXPERTS, PEOPLE, Change, TrustFigures
from couchside.measures import MeasureName


def render_trust(figures: TrustFigures) -> list[str]:
    """Headings, notes and tables, one after another."""
    return [
        "### Half-widths of the intervals",
        _HOLDING_NOTE,
        _holding(figures),
        "### What noise does to the intervals",
        _NOISE_NOTE,
        "LUDB:",
        _changes(figures, EXPERTS),
        "Simulated people:",
        _changes(figures, PEOPLE),
    ]


_HOLDING_NOTE = (
    "Of the intervals that were given, how many lie within their stated 90 % half-width of the "
    "reference: experts on LUDB, exact boundaries in the simulation. One half-width has to serve "
    "both definitions, so that it holds one of them more often than nine times in ten. Noise added "
    "is every kind of the next section. One or two leads: II, V1, V5, I and II, II and V1, II and "
    "V5, the reference being made of the same leads. Withheld: the half-width was too wide for a "
    "value to be given."
)
_NOISE_NOTE = (
    "Noise is added at the electrodes of the recordings; NSTDB noise from the half of each record "
    "that nothing was fitted to, its power over all leads so many dB below an eighth of the mean "
    "squared peak-to-peak QRS. Change of each interval against the same recording clean, mean ± SD "
    "in ms; then the share no longer given (withheld, or the wave no longer found), and the share "
    "given with a change beyond its half-width, which is wrong in silence."
)


def _holding(figures: TrustFigures) -> str:
    return make_table(
        ("", "reference", "given", "held %", "median half-width ms", "90th centile", "withheld"),
        (
            (
                _say(name),
                source,
                f"{each.total}",
                f"{100 * each.held / max(each.total, 1):.1f}",
                f"{np.median(each.half_widths_ms):.0f}",
                f"{np.quantile(each.half_widths_ms, 0.9):.0f}",
                f"{each.withheld}",
            )
            for (name, source), each in sorted(figures.holding.items(), key=_by_interval)
        ),
    )


def _by_interval(item: tuple[tuple[MeasureName, str], object]) -> int:
    return list(ENDS).index(item[0][0])


def _changes(figures: TrustFigures, source: str) -> str:
    noises = dict.fromkeys(noise for of, noise, _ in figures.changes if of == source)
    return make_table(
        ("", *(_say(name) for name in ENDS)),
        (
            (noise, *(_say_change(figures.changes[source, noise, name]) for name in ENDS))
            for noise in noises
        ),
    )


def _say(name: MeasureName) -> str:
    return name.replace("_", " ")


def _say_change(change: Change) -> str:
    total = max(change.total, 1)
    changes = np.array(change.changes_ms)
    return (
        f"{changes.mean():.1f} ± {changes.std():.1f}; {100 * change.gone / total:.0f} % gone, "
        f"{100 * change.silent / total:.0f} % silent"
    )
