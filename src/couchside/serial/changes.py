"""How rate, intervals, QTc and axes changed."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from couchside.measures import Measured, MeasureName
from couchside.measures.axes import AXES
from couchside.measures.names import SENTENCE_NAMES
from couchside.serial.half_widths import find_axis_half_widths, find_rate_half_width
from couchside.serial.model import Change, Examined
from couchside.serial.usual import USUAL_CHANGES

_QTC = frozenset(
    {
        MeasureName.QTC_BAZETT,
        MeasureName.QTC_FRIDERICIA,
        MeasureName.QTC_FRAMINGHAM,
        MeasureName.QTC_HODGES,
    }
)


def find_changes(new: Examined, old: Examined) -> tuple[Change, ...]:
    """Each measure that is compared, in printing order.

    Parameters
    ----------
    new, old : Examined
        Two recordings of one person. Of the QTc the one that is quoted for the new recording is
        compared, by the same formula on both sides.
    """
    choice = new.assessment.measures.qtc_choice
    quoted = choice.name if choice else MeasureName.QTC_FRIDERICIA
    names = [name for name in USUAL_CHANGES if name not in _QTC or name is quoted]
    now, then = _measured(new), _measured(old)
    return tuple(_compare(now[name], then[name]) for name in names)


def find_qrs_change_ms(changes: tuple[Change, ...]) -> float | None:
    """By how much QRS became wider; None where it is not known."""
    return next(each.change for each in changes if each.name is MeasureName.QRS_DURATION)


def _measured(examined: Examined) -> dict[MeasureName, Measured]:
    """By name; rate and axes, which carry no half-width of their own, with that of their beats."""
    half_widths = {
        MeasureName.HEART_RATE: find_rate_half_width(examined.assessment.waves),
        **find_axis_half_widths(examined),
    }
    return {
        each.name: replace(each, uncertainty=half_widths[each.name])
        if each.name in half_widths and each.value is not None
        else each
        for each in examined.assessment.measures
    }


def _compare(new: Measured, old: Measured) -> Change:
    usual = USUAL_CHANGES[new.name]
    change = None
    if new.value is not None and old.value is not None:
        change = _turn(new.value - old.value) if new.name in AXES else new.value - old.value
    return Change(
        name=new.name,
        unit=new.unit,
        new=new.value,
        old=old.value,
        change=change,
        uncertainty=_combine(new, old) if change is not None else None,
        usual=usual.most,
        source=usual.source,
        reason="" if change is not None else _explain(new, old),
    )


def _turn(degrees: float) -> float:
    """The shorter way around, from above −180 to 180."""
    return 180.0 - (180.0 - degrees) % 360.0


def _combine(new: Measured, old: Measured) -> float | None:
    """Half-width of a difference: both taken as independent."""
    if new.uncertainty is None or old.uncertainty is None:
        return None
    return hypot(new.uncertainty, old.uncertainty)


def _explain(new: Measured, old: Measured) -> str:
    name = SENTENCE_NAMES[new.name]
    if new.value is None:
        return f"{name} was not measurable now: {new.reason}"
    return f"{name} was not measurable then: {old.reason}"
