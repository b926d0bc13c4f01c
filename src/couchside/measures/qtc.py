"""QT corrected for rate, by four formulas, each named with its value."""

from __future__ import annotations

from collections.abc import Callable

from couchside.measures.model import MeasureName


def bazett(qt_ms: float, rr_s: float) -> float:
    """QT divided by the square root of RR [Bazett1920]."""
    return float(qt_ms / rr_s ** (1.0 / 2.0))


def fridericia(qt_ms: float, rr_s: float) -> float:
    """QT divided by the cube root of RR [Fridericia1920]."""
    return float(qt_ms / rr_s ** (1.0 / 3.0))


def framingham(qt_ms: float, rr_s: float) -> float:
    """QT plus 154 ms for each second that RR falls short of one [Sagie1992]."""
    return qt_ms + 154.0 * (1.0 - rr_s)


def hodges(qt_ms: float, rr_s: float) -> float:
    """QT plus 1.75 ms for each beat per minute above 60 [Hodges1983]."""
    return qt_ms + 1.75 * (60.0 / rr_s - 60.0)


QTC_FORMULAS: dict[MeasureName, tuple[str, Callable[[float, float], float]]] = {
    MeasureName.QTC_BAZETT: ("Bazett", bazett),
    MeasureName.QTC_FRIDERICIA: ("Fridericia", fridericia),
    MeasureName.QTC_FRAMINGHAM: ("Framingham", framingham),
    MeasureName.QTC_HODGES: ("Hodges", hodges),
}
"""QT in ms, mean RR in s; in printing order."""
