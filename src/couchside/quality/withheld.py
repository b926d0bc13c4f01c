"""Measures that a finding takes the ground from are withheld, with the finding as the reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from couchside.measures import MeasureName, Measures
from couchside.measures.model import Measured
from couchside.quality.model import Finding, FindingKind
from couchside.recording import CHEST_LEADS, LIMB_LEADS

_FROM_LIMB_LEADS = {
    MeasureName.P_AXIS,
    MeasureName.QRS_AXIS,
    MeasureName.T_AXIS,
    MeasureName.CORNELL_VOLTAGE,
    MeasureName.CORNELL_PRODUCT,
    MeasureName.LIMB_QRS_VOLTAGE,
}
_FROM_CHEST_LEADS = {
    MeasureName.SOKOLOW_LYON,
    MeasureName.CORNELL_VOLTAGE,
    MeasureName.CORNELL_PRODUCT,
}
REASON = "not to be trusted: cables seem to be exchanged"


def withhold_untrusted(measures: Measures, findings: Iterable[Finding]) -> Measures:
    """Put a reason in the place of each value that exchanged cables make untrue.

    Parameters
    ----------
    measures : Measures
        As measured in the leads as recorded.
    findings : iterable of Finding
        What the check noticed.

    Returns
    -------
    Measures
        Intervals stay, for an exchange leaves them as they are [Batchvarov2007]; axes and the
        voltages of the leads concerned go.
    """
    untrue: set[MeasureName] = set()
    for found in findings:
        if found.kind == FindingKind.CABLES_EXCHANGED:
            untrue |= _FROM_LIMB_LEADS if set(found.leads) & set(LIMB_LEADS) else set()
            untrue |= _FROM_CHEST_LEADS if set(found.leads) & set(CHEST_LEADS) else set()
    if not untrue:
        return measures
    return replace(measures, values=tuple(_withhold(each, untrue) for each in measures))


def _withhold(measured: Measured, untrue: set[MeasureName]) -> Measured:
    if measured.name not in untrue or measured.value is None:
        return measured
    return replace(measured, value=None, reason=REASON, uncertainty=None)
