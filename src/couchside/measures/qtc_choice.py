"""Which QTc to quote, by a rule that is stated; and JT, which a wide QRS does not lengthen."""

from __future__ import annotations

from collections.abc import Sequence

from couchside.measures.limits import find_age_years
from couchside.measures.model import Measured, MeasureName, QtcChoice
from couchside.measures.rate import is_irregular
from couchside.measures.uncertainty import Scatter, add_uncertainty
from couchside.recording import Recording
from couchside.waves import Waves

WIDE_QRS_MS = 120.0
"""From here on QT is long because QRS is; JT is then read beside it [Rautaharju1992]."""
BAZETT_BELOW_YEARS = 16.0
"""Bazett was the steadiest in infants [Phan2015], and limits for children are given for it
[Rijnbeek2001]; where childhood ends here is this project's choice."""

_FORMULA_NAMES = {MeasureName.QTC_BAZETT: "Bazett", MeasureName.QTC_FRIDERICIA: "Fridericia"}


def choose_qtc(
    recording: Recording, waves: Waves, measured: Sequence[Measured]
) -> QtcChoice | None:
    """Pick the formula by a stated rule.

    Parameters
    ----------
    recording : Recording
        Gives the age.
    waves : Waves
        Tells whether the rhythm is irregular.
    measured : sequence of Measured
        With QRS duration and the QTc.

    Returns
    -------
    QtcChoice or None
        Fridericia, and Bazett below 16 years; the sentence adds what makes the value doubtful: an
        irregular rhythm, for which the mean RR was used, and a QRS of 120 ms or more, for which JT
        is named. None where there is no QTc.

    Notes
    -----
    Of 6,609 adults' QTc, Fridericia and Framingham depended least on rate and Bazett most
    [Vandenberk2016].
    """
    by_name = {each.name: each for each in measured}
    age_years = find_age_years(recording)
    is_child = age_years is not None and age_years < BAZETT_BELOW_YEARS
    name = MeasureName.QTC_BAZETT if is_child else MeasureName.QTC_FRIDERICIA
    if by_name[name].value is None:
        return None
    people = "below 16 years" if is_child else "from 16 years on"
    told = [f"QTc to quote {people}: {_FORMULA_NAMES[name]}"]
    is_doubtful = is_irregular(waves)
    if is_doubtful:
        told.append("the rhythm is irregular, so that it rests on the mean RR and is doubtful")
    qrs = by_name[MeasureName.QRS_DURATION].value
    if qrs is not None and qrs >= WIDE_QRS_MS:
        told.append("QRS is 120 ms or more, so that JT is to be read beside it")
    return QtcChoice(name=name, sentence="; ".join(told), is_doubtful=is_doubtful)


def measure_jt(
    qt: Measured, qrs: Measured, rate: Measured, scatter: Scatter | None
) -> tuple[Measured, ...]:
    """JT, and the JT index that sets it in relation to the rate.

    Parameters
    ----------
    qt, qrs : Measured
        In ms.
    rate : Measured
        Beats per minute.
    scatter : Scatter or None
        From `find_scatters`, of JT.

    Returns
    -------
    tuple of Measured
        JT = QT − QRS in ms, and JT index = JT · (rate + 100) / 518 in percent [Rautaharju1992].
    """
    note = ", to be read where QRS is 120 ms or more"
    jt_ms = None if qt.value is None or qrs.value is None else qt.value - qrs.value
    jt = Measured(
        name=MeasureName.JT_INTERVAL,
        value=jt_ms,
        unit="ms",
        method=f"QT − QRS{note}",
        reason=qt.reason or qrs.reason,
    )
    jt = add_uncertainty(jt, scatter)
    return jt, _measure_jt_index(jt, rate, f"JT · (rate + 100) / 518{note}")


def _measure_jt_index(jt: Measured, rate: Measured, method: str) -> Measured:
    value, uncertainty = None, None
    if jt.value is not None and rate.value is not None:
        value = jt_index(jt.value, rate.value)
        if jt.uncertainty is not None:
            uncertainty = jt_index(jt.uncertainty, rate.value)
    return Measured(
        name=MeasureName.JT_INDEX,
        value=value,
        unit="%",
        method=method,
        reason=jt.reason or rate.reason,
        uncertainty=uncertainty,
    )


def jt_index(jt_ms: float, rate_per_min: float) -> float:
    """Percent of what JT usually is at that rate [Rautaharju1992]."""
    return jt_ms * (rate_per_min + 100.0) / 518.0
