"""The measures, each with its limits, or the reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.lead_words import LeadRow, list_lead_rows
from couchside.measures.model import Limits, Measured, Measures, Standing, Trust
from couchside.measures.names import TABLE_NAMES
from couchside.measures.rhythm_words import describe_groups
from couchside.web.translation import gettext as _
from couchside.web.translation import localise, translate

_UNITS = {"deg": "°"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRow:
    """One measure; `value` is empty where `reason` says why there is none.

    `half_width` is empty where none is known: nine times in ten the reference lies within so much.
    """

    name: str
    value: str
    half_width: str
    unit: str
    reason: str
    limits: str
    limits_for: str
    standing: str
    is_outside: bool
    method: str


def view_measures(measures: Measures) -> tuple[MeasureRow, ...]:
    """Every measure in printing order."""
    return tuple(_view_measure(measured) for measured in measures)


def view_groups(measures: Measures) -> str:
    """How many beats have which shape; empty where all are alike."""
    return translate(describe_groups(measures.rhythm)) if measures.rhythm else ""


def view_leads(measures: Measures) -> tuple[LeadRow, ...]:
    """Waves and ST level of each lead, with the decimal sign of the language."""
    return tuple(
        LeadRow(lead=row.lead, numbers=tuple(map(localise, row.numbers)))
        for row in list_lead_rows(measures.leads)
    )


def _view_measure(measured: Measured) -> MeasureRow:
    standing = measured.standing
    return MeasureRow(
        name=translate(TABLE_NAMES[measured.name]),
        value=localise(measured.number).replace("-", "−"),
        half_width="" if measured.uncertainty is None else f"± {measured.uncertainty:.0f}",
        unit=translate(_UNITS.get(measured.unit, measured.unit)),
        reason=translate(measured.reason),
        limits=_describe_limits(measured.limits),
        limits_for=_describe_people(measured.limits),
        standing="" if standing is Standing.NO_LIMITS else translate(standing.value),
        is_outside=measured.is_outside,
        method=measured.method,
    )


def _describe_people(limits: Limits | None) -> str:
    """Whose limits they are, from which table, and where its source was not seen, that."""
    if limits is None:
        return ""
    trust = "" if limits.trust is Trust.SEEN else f", {limits.trust}"
    return f"{limits.population}: {limits.source}{trust}"


def _describe_limits(limits: Limits | None) -> str:
    if limits is None:
        return ""
    if limits.low is None:
        high = _format_limit(limits.high)
        return (
            _("below %(limit)s", limit=high)
            if limits.high_is_outside
            else _("up to %(limit)s", limit=high)
        )
    if limits.high is None:
        return _("from %(limit)s", limit=_format_limit(limits.low))
    return _("%(low)s to %(high)s", low=_format_limit(limits.low), high=_format_limit(limits.high))


def _format_limit(limit: float | None) -> str:
    return "" if limit is None else localise(f"{limit:g}").replace("-", "−")
