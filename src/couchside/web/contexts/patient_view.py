"""What the page about one person shows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from couchside.measures import MeasureName
from couchside.measures.names import TABLE_NAMES
from couchside.paper import TrendPoint
from couchside.recording import Patient, Sex
from couchside.service import Desk
from couchside.service.patients import MOST_DRAWN, TREND_MEASURES, FiledValue, History, Visit
from couchside.web.contexts.amendment_view import AmendmentView, view_amendments
from couchside.web.contexts.attempt_view import DecisionView, view_decision
from couchside.web.translation import gettext as _
from couchside.web.translation import localise, translate
from couchside.web.wording import (
    SEX_WORDS,
    VERDICT_SHAPES,
    describe_patient,
    format_moment,
    list_words,
    name_of,
    say,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One measure of one recording; `reason` says why there is no value."""

    value: str
    half_width: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """One recording; `arrived` says that its time is that of its arrival."""

    id: int
    time: str
    is_arrival: bool
    shape: str
    verdict: str
    decision: DecisionView | None
    is_kept: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """One drawing."""

    address: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityForm:
    """What stands, to be corrected."""

    address: str
    seen_number: int
    patient: Patient
    sexes: dict[Sex, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientView:
    """A person's page."""

    number: str
    name: str
    facts: tuple[str, ...]
    heads: tuple[str, ...]
    visits: tuple[VisitRow, ...]
    beats: str
    beats_words: str
    trends: tuple[Trend, ...]
    amendments: tuple[AmendmentView, ...]
    former_numbers: tuple[str, ...]
    form: IdentityForm


def view_patient(desk: Desk, history: History) -> PatientView:
    """The person as the page shows them."""
    patient, visits = history.patient, history.visits
    number = urlencode({"number": patient.identifier})
    drawn = min(len(visits), MOST_DRAWN)
    return PatientView(
        number=patient.identifier,
        name=name_of(patient),
        facts=describe_patient(patient),
        heads=tuple(_name_with_unit(visits, name) for name in TREND_MEASURES),
        visits=tuple(_view_visit(desk, each) for each in visits),
        beats=f"/patients/beats.svg?{number}" if visits else "",
        beats_words=_(
            "Beats of II, V2 and V5 of the newest %(count)s recordings, the oldest at the left",
            count=drawn,
        ),
        trends=tuple(
            Trend(
                address=f"/patients/trend.svg?{number}&measure={name.value}",
                words=_("%(measure)s against the date", measure=translate(name_measure(name))),
            )
            for name in TREND_MEASURES
            if list_points(desk, history, name)
        ),
        amendments=view_amendments(desk, history.amendments),
        former_numbers=history.numbers[1:],
        form=IdentityForm(
            address=f"/patients/identity?{number}",
            seen_number=history.amendments[-1].number if history.amendments else 0,
            patient=patient,
            sexes=list_words(SEX_WORDS),
        ),
    )


def make_patient_address(patient: Patient) -> str:
    """Where a person's recordings stand; empty for one without a number."""
    if not patient.identifier.strip():
        return ""
    return f"/patients?{urlencode({'number': patient.identifier})}"


def name_measure(name: MeasureName) -> str:
    """A measure as it stands at the head of a table."""
    return TABLE_NAMES[name]


def list_points(
    desk: Desk, history: History, name: MeasureName
) -> tuple[tuple[TrendPoint, str], ...]:
    """What a trend is drawn from, each with its unit; recordings without a value are left out."""
    return tuple(
        (
            TrendPoint(
                at=visit.at.astimezone(desk.zone),
                value=filed.value,
                half_width=filed.half_width,
                is_kept=visit.is_kept,
            ),
            filed.unit,
        )
        for visit in history.visits
        if (filed := visit.values.get(name)) is not None and filed.value is not None
    )


def _name_with_unit(visits: tuple[Visit, ...], name: MeasureName) -> str:
    units = [visit.values[name].unit for visit in visits if name in visit.values]
    said = translate(name_measure(name))
    return f"{said}, {translate(units[0])}" if units else said


def _view_visit(desk: Desk, visit: Visit) -> VisitRow:
    summary = visit.summary
    return VisitRow(
        id=summary.id,
        time=format_moment(visit.at, desk.zone),
        is_arrival=summary.start is None,
        shape=VERDICT_SHAPES[summary.verdict],
        verdict=say(summary.verdict.value),
        decision=view_decision(desk, summary.decision) if summary.decision else None,
        is_kept=visit.is_kept,
        cells=tuple(_view_value(visit.values.get(name)) for name in TREND_MEASURES),
    )


def _view_value(filed: FiledValue | None) -> Cell:
    if filed is None or filed.value is None:
        reason = filed.reason if filed is not None else "not measured"
        return Cell(value="", half_width="", reason=translate(reason))
    width = "" if filed.half_width is None else localise(f"± {filed.half_width:.0f}")
    return Cell(value=localise(f"{filed.value:.0f}"), half_width=width, reason="")
