"""Every measure of a recording, with limits where some apply."""

from __future__ import annotations

from dataclasses import replace

from couchside.measures.amplitudes import measure_leads
from couchside.measures.axes import measure_axes
from couchside.measures.intervals import measure_intervals, measure_qtc
from couchside.measures.limits import find_limits
from couchside.measures.model import Measured, MeasureName, Measures
from couchside.measures.qtc_choice import choose_qtc, measure_jt
from couchside.measures.rate import measure_rate
from couchside.measures.rhythm import measure_rhythm
from couchside.measures.uncertainty import find_scatters
from couchside.measures.voltages import measure_voltages
from couchside.recording import Recording
from couchside.waves import Waves
from couchside.waves.series import series_of


def measure(recording: Recording, waves: Waves) -> Measures:
    """Rate, intervals, QTc by four formulas, axes, JT, voltages, each lead's waves and the rhythm.

    Parameters
    ----------
    recording : Recording
        Gives the person's age and sex, on which the limits depend.
    waves : Waves
        From `couchside.waves.delineate` of the same recording.

    Returns
    -------
    Measures
        Each measure once, in printing order; one that cannot be had carries its reason.
    """
    rate = measure_rate(waves)
    scatters = find_scatters(waves)
    intervals = measure_intervals(waves, scatters)
    qrs, qt = intervals[-2:]
    leads = measure_leads(waves)
    values = (
        rate,
        *intervals,
        *measure_qtc(waves, qt),
        *measure_axes(waves),
        *measure_jt(qt, qrs, rate, scatters[MeasureName.JT_INTERVAL]),
        *measure_voltages(leads, qrs, recording),
    )
    return Measures(
        values=tuple(_add_limits(measured, recording) for measured in values),
        leads=leads,
        rhythm=measure_rhythm(series_of(recording, waves)),
        qtc_choice=choose_qtc(recording, waves, values),
    )


def _add_limits(measured: Measured, recording: Recording) -> Measured:
    """Limits from the tables; a measure that brings its own keeps them."""
    if measured.value is None or measured.limits is not None:
        return measured
    return replace(measured, limits=find_limits(measured.name, recording))
