"""How rate, intervals, QTc and axes changed."""

from __future__ import annotations

from math import hypot

from couchside.measures import Measured, MeasureName, Measures
from couchside.measures.names import SENTENCE_NAMES
from couchside.serial.model import Change
from couchside.serial.usual import USUAL_CHANGES

_QTC = frozenset(
    {
        MeasureName.QTC_BAZETT,
        MeasureName.QTC_FRIDERICIA,
        MeasureName.QTC_FRAMINGHAM,
        MeasureName.QTC_HODGES,
    }
)
AXES = frozenset({MeasureName.P_AXIS, MeasureName.QRS_AXIS, MeasureName.T_AXIS})


def find_changes(new: Measures, old: Measures) -> tuple[Change, ...]:
    """Each measure that is compared, in printing order.

    Parameters
    ----------
    new, old : Measures
        Of two recordings of one person. Of the QTc the one that is quoted for the new recording is
        compared, by the same formula on both sides.
    """
    quoted = new.qtc_choice.name if new.qtc_choice else MeasureName.QTC_FRIDERICIA
    names = [name for name in USUAL_CHANGES if name not in _QTC or name is quoted]
    return tuple(_compare(new.get(name), old.get(name)) for name in names)


def find_qrs_change_ms(changes: tuple[Change, ...]) -> float | None:
    """By how much QRS became wider; None where it is not known."""
    return next(each.change for each in changes if each.name is MeasureName.QRS_DURATION)


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
