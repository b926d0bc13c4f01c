"""Reference limits for adults, as data with their source."""

from __future__ import annotations

from types import MappingProxyType

from couchside.measures.model import Limits, MeasureName
from couchside.recording import Recording

ADULT_YEARS = 18.0
_SOURCE = "Mason 2007, 2nd to 98th centile"

_ADULT_RANGES: MappingProxyType[MeasureName, tuple[float, float]] = MappingProxyType(
    {
        MeasureName.HEART_RATE: (48.0, 98.0),
        MeasureName.PR_INTERVAL: (113.0, 212.0),
        MeasureName.QRS_DURATION: (69.0, 109.0),
        MeasureName.QT_INTERVAL: (325.0, 452.0),
        MeasureName.QTC_BAZETT: (361.0, 457.0),
        MeasureName.QTC_FRIDERICIA: (359.0, 445.0),
        MeasureName.QRS_AXIS: (-40.0, 91.0),
    }
)
"""2nd to 98th centile of 46,129 people of low risk [Mason2007]."""


def find_limits(name: MeasureName, recording: Recording) -> Limits | None:
    """Limits of a measure for the person recorded.

    Parameters
    ----------
    name : MeasureName
        Which measure.
    recording : Recording
        Gives the age on the day of the recording.

    Returns
    -------
    Limits or None
        Adult limits from 18 years on; adult limits that say so where the age is unknown; None
        for a child, whose limits are not those of an adult, and where no source is at hand.
    """
    if name not in _ADULT_RANGES:
        return None
    age_years = find_age_years(recording)
    if age_years is not None and age_years < ADULT_YEARS:
        return None
    low, high = _ADULT_RANGES[name]
    population = "adults" if age_years is not None else "adults (age not stated)"
    return Limits(low=low, high=high, population=population, source=_SOURCE)


def find_age_years(recording: Recording) -> float | None:
    """Age on the day of the recording, None where the recording does not tell."""
    day = recording.start.date() if recording.start is not None else None
    return recording.patient.age_years_on(day)
