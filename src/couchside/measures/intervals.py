"""P duration, PR, QRS and QT from the boundaries over all leads of the representative beat."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan

from couchside.measures.model import Measured, MeasureName
from couchside.measures.qtc import QTC_FORMULAS
from couchside.measures.rate import describe_irregularity, explain_missing_rr, find_mean_rr_s
from couchside.measures.uncertainty import Scatters, add_uncertainty
from couchside.waves import GlobalBounds, RepresentativeBeat, Waves

_NO_BEATS = "no beats were found"
_NO_P = "no P wave was found"
_P_ON_T = "the P wave lies on the T wave before it, and where it begins cannot be told"
_NO_QRS = "the QRS boundaries were not found"
_NO_T = "the end of the T wave was not found"

_INTERVALS: dict[
    MeasureName, tuple[str, Callable[[GlobalBounds], tuple[float, float]], tuple[str, str]]
] = {
    MeasureName.P_DURATION: (
        "earliest P onset to latest P end over all leads",
        lambda bounds: (bounds.p_onset, bounds.p_offset),
        (_NO_P, _NO_P),
    ),
    MeasureName.PR_INTERVAL: (
        "earliest P onset to earliest QRS onset over all leads",
        lambda bounds: (bounds.p_onset, bounds.qrs_onset),
        (_NO_P, _NO_QRS),
    ),
    MeasureName.QRS_DURATION: (
        "earliest QRS onset to latest QRS end over all leads",
        lambda bounds: (bounds.qrs_onset, bounds.qrs_offset),
        (_NO_QRS, _NO_QRS),
    ),
    MeasureName.QT_INTERVAL: (
        "earliest QRS onset to latest T end over all leads",
        lambda bounds: (bounds.qrs_onset, bounds.t_offset),
        (_NO_QRS, _NO_T),
    ),
}
"""Method, the two boundaries, and the reasons where one or the other is absent [AHA2007-I]."""


def measure_intervals(waves: Waves, scatters: Scatters) -> tuple[Measured, ...]:
    """The four intervals of the representative beat.

    Parameters
    ----------
    waves : Waves
        Of one recording.
    scatters : mapping of MeasureName to Scatter or None
        From `find_scatters` of the same waves.

    Returns
    -------
    tuple of Measured
        P duration, PR, QRS, QT, in ms, each with its half-width; one whose half-width is too wide
        is withheld, and says so.
    """
    return tuple(
        add_uncertainty(_measure_interval(name, waves), scatters[name]) for name in _INTERVALS
    )


def measure_qtc(waves: Waves, qt: Measured) -> tuple[Measured, ...]:
    """QT corrected for the mean RR of the recording, by every formula.

    Parameters
    ----------
    waves : Waves
        Gives the mean RR.
    qt : Measured
        The QT interval in ms.

    Returns
    -------
    tuple of Measured
        In ms, with the half-width that the QT brings along; in an irregular rhythm the method says
        that the mean RR was used.
    """
    rr_s = find_mean_rr_s(waves)
    reason = qt.reason or ("" if rr_s is not None else explain_missing_rr(waves))
    mean_rr = f"with the mean RR{describe_irregularity(waves)}"
    measured = []
    for name, (formula_name, formula) in QTC_FORMULAS.items():
        value, uncertainty = None, None
        if qt.value is not None and rr_s is not None:
            value = formula(qt.value, rr_s)
            if qt.uncertainty is not None:
                uncertainty = formula(qt.value + qt.uncertainty, rr_s) - value
        measured.append(
            Measured(
                name=name,
                value=value,
                unit="ms",
                method=f"{formula_name}, {mean_rr}",
                reason=reason,
                uncertainty=uncertainty,
            )
        )
    return tuple(measured)


def _measure_interval(name: MeasureName, waves: Waves) -> Measured:
    method, boundaries, reasons = _INTERVALS[name]
    if waves.representative is None:
        return Measured(name=name, value=None, unit="ms", method=method, reason=_NO_BEATS)
    start, end = boundaries(waves.representative.overall)
    if isnan(start):
        reason = _P_ON_T if _has_p(waves.representative) else reasons[0]
        return Measured(name=name, value=None, unit="ms", method=method, reason=reason)
    if isnan(end):
        return Measured(name=name, value=None, unit="ms", method=method, reason=reasons[1])
    value = (end - start) * 1000.0 / waves.rate_hz
    return Measured(name=name, value=value, unit="ms", method=method)


def _has_p(beat: RepresentativeBeat) -> bool:
    return not isnan(beat.overall.p_offset)
