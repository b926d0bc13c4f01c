"""Every measure of a recording, with limits where some apply."""

from __future__ import annotations

from dataclasses import replace

from couchside.measures.axes import measure_axes
from couchside.measures.intervals import measure_intervals, measure_qtc
from couchside.measures.limits import find_limits
from couchside.measures.model import Measured, Measures
from couchside.measures.rate import measure_rate
from couchside.recording import Recording
from couchside.waves import Waves


def measure(recording: Recording, waves: Waves) -> Measures:
    """Rate, intervals, QTc by four formulas and frontal axes.

    Parameters
    ----------
    recording : Recording
        Gives the person's age, on which the limits depend.
    waves : Waves
        From `couchside.waves.delineate` of the same recording.

    Returns
    -------
    Measures
        Each measure once, in printing order; one that cannot be had carries its reason.
    """
    intervals = measure_intervals(waves)
    qtc = measure_qtc(waves, intervals[-1])
    everything = (measure_rate(waves), *intervals, *qtc, *measure_axes(waves))
    return Measures(values=tuple(_add_limits(measured, recording) for measured in everything))


def _add_limits(measured: Measured, recording: Recording) -> Measured:
    if measured.value is None:
        return measured
    return replace(measured, limits=find_limits(measured.name, recording))
