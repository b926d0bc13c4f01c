"""Intervals stay as they are when cables trade places inside the limb or the chest group.

An exchange renames and turns leads by exact algebra [Batchvarov2007]; the moments at which waves
begin and end over all leads are the same. The tolerance of 1 ms is half a sample at 500 Hz: the
boundaries are found in other leads then.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from couchside.measures import MeasureName, measure
from couchside.recording import Electrode
from couchside.simulate import exchange, get_scenario, simulate
from couchside.simulate.cables import Cables
from couchside.waves import delineate

TOLERANCE_MS = 1.0
_RA, _LA, _LL = Electrode.RA, Electrode.LA, Electrode.LL
EXCHANGES = {
    "right arm and left arm": exchange(_RA, _LA),
    "left arm and left leg": exchange(_LA, _LL),
    "right arm and left leg": exchange(_RA, _LL),
    "three limb cables in turn": {_RA: _LA, _LA: _LL, _LL: _RA},
    "V1 and V3": exchange(Electrode.C1, Electrode.C3),
    "V4 and V5": exchange(Electrode.C4, Electrode.C5),
}
MEASURES = (
    MeasureName.HEART_RATE,
    MeasureName.PR_INTERVAL,
    MeasureName.QRS_DURATION,
    MeasureName.QT_INTERVAL,
)


@pytest.mark.parametrize("name", EXCHANGES)
def test_an_exchange_leaves_intervals_as_they_are(name: str) -> None:
    unchanged, exchanged = _measure(""), _measure(name)
    assert exchanged == pytest.approx(unchanged, abs=TOLERANCE_MS)


@cache
def _measure(name: str) -> tuple[float, ...]:
    cables: Cables = EXCHANGES.get(name, {})
    recording = simulate(replace(get_scenario("good"), cables=cables)).recording
    measures = measure(recording, delineate(recording))
    values = [measures.get(each).value for each in MEASURES]
    assert None not in values
    return tuple(value for value in values if value is not None)
