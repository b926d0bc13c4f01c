"""Reference limits of a measure for the person recorded."""

from __future__ import annotations

from dataclasses import replace

from couchside.measures.limits_table import ADULT_YEARS, as_limits, find_cell
from couchside.measures.model import Limits, MeasureName
from couchside.recording import Recording


def find_limits(
    name: MeasureName, recording: Recording, *, table: str | None = None
) -> Limits | None:
    """Limits of a measure for the person recorded.

    Parameters
    ----------
    name : MeasureName
        Which measure.
    recording : Recording
        Gives sex, and the age on the day of the recording.
    table : str or None
        A key of `TABLE_TITLES` to look into that table alone; None takes the first that fits.

    Returns
    -------
    Limits or None
        By age and sex; adult limits that say so where the age is not stated; None where no table
        fits the person.
    """
    age_years = find_age_years(recording)
    cell = find_cell(
        name,
        ADULT_YEARS if age_years is None else age_years,
        recording.patient.sex,
        table=table,
    )
    if cell is None:
        return None
    limits = as_limits(cell)
    if age_years is None:
        return replace(limits, population=f"{limits.population} (age not stated)")
    return limits


def find_age_years(recording: Recording) -> float | None:
    """Age on the day of the recording, None where the recording does not tell."""
    day = recording.start.date() if recording.start is not None else None
    return recording.patient.age_years_on(day)
