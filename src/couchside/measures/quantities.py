"""What a protocol may name: every measure, some of the rhythm, and the ST level of single leads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from couchside.measures.amplitudes import ST_AFTER_J_MS
from couchside.measures.model import MeasureName, Measures
from couchside.measures.names import SENTENCE_NAMES
from couchside.measures.rhythm_model import RrInterval

_NOT_LOOKED_FOR = "the rhythm was not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A value, or the reason why there is none."""

    value: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Something measured that a protocol may name.

    Parameters
    ----------
    words : str
        As it is said: ``"heart rate"``.
    unit : str
        Of the value.
    read : callable
        Measures to reading; for a quantity of single leads, of the lead that is named.
    """

    words: str
    unit: str
    read: Callable[[Measures, str], Reading]

    def format(self, value: float) -> str:
        """A value without its unit, as it is printed."""
        return f"{self.printed(value):.{self._decimals}f}".replace("-", "−")

    def printed(self, value: float) -> float:
        """A value rounded as it is printed."""
        return round(value, self._decimals)

    @property
    def _decimals(self) -> int:
        return 2 if self.unit == "mV" else 0


def _of_measure(name: MeasureName) -> Callable[[Measures, str], Reading]:
    def read(measures: Measures, _lead: str) -> Reading:
        measured = measures.get(name)
        return Reading(value=measured.value, reason=measured.reason)

    return read


def _qtc_to_quote(measures: Measures, _lead: str) -> Reading:
    if measures.qtc_choice is None:
        fridericia = measures.get(MeasureName.QTC_FRIDERICIA)
        return Reading(value=None, reason=fridericia.reason or "no QTc was chosen")
    measured = measures.get(measures.qtc_choice.name)
    return Reading(value=measured.value, reason=measured.reason)


def _longest_rr(measures: Measures, _lead: str) -> Reading:
    return _of_interval(measures, measures.rhythm.longest if measures.rhythm else None)


def _shortest_rr(measures: Measures, _lead: str) -> Reading:
    return _of_interval(measures, measures.rhythm.shortest if measures.rhythm else None)


def _of_interval(measures: Measures, interval: RrInterval | None) -> Reading:
    if interval is not None:
        return Reading(value=interval.rr_ms)
    return Reading(
        value=None, reason=measures.rhythm.reason if measures.rhythm else _NOT_LOOKED_FOR
    )


def _of_st(position: int) -> Callable[[Measures, str], Reading]:
    def read(measures: Measures, lead: str) -> Reading:
        for each in measures.leads:
            if each.lead == lead:
                level = each.st[position]
                value = None if level.level_uv is None else level.level_uv / 1000.0
                return Reading(value=value, reason=level.reason)
        reason = f"lead {lead} was not recorded" if measures.leads else "no beats were found"
        return Reading(value=None, reason=reason)

    return read


_UNITS = {
    MeasureName.HEART_RATE: "/min",
    MeasureName.P_AXIS: "deg",
    MeasureName.QRS_AXIS: "deg",
    MeasureName.T_AXIS: "deg",
    MeasureName.JT_INDEX: "%",
    MeasureName.SOKOLOW_LYON: "mV",
    MeasureName.CORNELL_VOLTAGE: "mV",
    MeasureName.CORNELL_PRODUCT: "mV·ms",
    MeasureName.LIMB_QRS_VOLTAGE: "mV",
    MeasureName.CHEST_QRS_VOLTAGE: "mV",
}
"""Of every measure that is no time in ms."""

LEAD_QUANTITIES: dict[str, Quantity] = {
    f"st_j{after or ''}": Quantity(
        words=f"ST at J+{after} ms" if after else "ST at J", unit="mV", read=_of_st(position)
    )
    for position, after in enumerate(ST_AFTER_J_MS)
}
"""Quantities of single leads."""

QUANTITIES: dict[str, Quantity] = {
    **{
        name.value: Quantity(
            words=SENTENCE_NAMES[name], unit=_UNITS.get(name, "ms"), read=_of_measure(name)
        )
        for name in MeasureName
    },
    "qtc_to_quote": Quantity(words="QTc", unit="ms", read=_qtc_to_quote),
    "longest_rr": Quantity(words="longest RR", unit="ms", read=_longest_rr),
    "shortest_rr": Quantity(words="shortest RR", unit="ms", read=_shortest_rr),
    **LEAD_QUANTITIES,
}
"""By the name under which a protocol knows them."""
