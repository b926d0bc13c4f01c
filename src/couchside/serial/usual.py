"""How much one person's ECG usually changes from one day to another.

Day to day and year to year a measure changes about alike [Variability1984, by its abstract]. The
limits below are rules of thumb of the trade where there is one, and else this project's own, set
so that about nine in ten changes of the tuning patients' repeated recordings lie within them.
"""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures import MeasureName

_RULE = "rule of thumb of the trade, from memory"
_ICH = "ICH E14, from memory"
_OWN = "repeated open recordings, see docs/validation.md"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualChange:
    """So much, in the measure's unit, and where it comes from."""

    most: float
    source: str


USUAL_CHANGES: dict[MeasureName, UsualChange] = {
    MeasureName.HEART_RATE: UsualChange(most=30.0, source=_OWN),
    MeasureName.P_DURATION: UsualChange(most=20.0, source=_OWN),
    MeasureName.PR_INTERVAL: UsualChange(most=40.0, source=_RULE),
    MeasureName.QRS_DURATION: UsualChange(most=20.0, source=_RULE),
    MeasureName.QT_INTERVAL: UsualChange(most=60.0, source=_OWN),
    MeasureName.QTC_BAZETT: UsualChange(most=60.0, source=_ICH),
    MeasureName.QTC_FRIDERICIA: UsualChange(most=60.0, source=_ICH),
    MeasureName.QTC_FRAMINGHAM: UsualChange(most=60.0, source=_ICH),
    MeasureName.QTC_HODGES: UsualChange(most=60.0, source=_ICH),
    MeasureName.P_AXIS: UsualChange(most=30.0, source=_OWN),
    MeasureName.QRS_AXIS: UsualChange(most=30.0, source=_RULE),
    MeasureName.T_AXIS: UsualChange(most=40.0, source=_OWN),
}
"""What is compared, in printing order; of the QTc only the one that is quoted."""

QRS_SHARE, QRS_FLOOR_UV = 0.45, 50.0
"""Of the mean of both sizes, and beside it: R changes by a quarter to a half [from memory]."""
ST_SHARE, ST_FLOOR_UV = 0.05, 80.0
"""Of the size of QRS in the lead, and beside it."""
T_SHARE, T_FLOOR_UV = 0.6, 80.0
"""Of the mean of both heights, and beside it."""
