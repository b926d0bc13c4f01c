"""The round, and the part of it that renews itself."""

from __future__ import annotations

import hashlib
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse
from markupsafe import Markup

from couchside.service import Desk, Round, Settings, list_round
from couchside.service.causes import list_causes
from couchside.service.opening import open_assessment
from couchside.service.readiness import list_readiness
from couchside.service.trail import Subject
from couchside.web.contexts.readiness_view import (
    RecordersLine,
    view_readiness,
    view_recorders_line,
)
from couchside.web.contexts.round_view import (
    Arrival,
    RoundView,
    find_newest_undecided,
    list_caused,
    view_arrival,
    view_round,
)
from couchside.web.contexts.verdict_view import describe_cause
from couchside.web.lookup import DeskHere, NoteLookHere, SettingsHere, parse_day
from couchside.web.rendering import render, render_text

router = APIRouter()

_LOAD_AGAIN = {"HX-Refresh": "true"}
"""Midnight has passed: another day's round belongs on the page."""


@router.get("/", include_in_schema=False)
def show_start() -> Response:
    """The round is where everything starts."""
    return RedirectResponse("/round", status_code=303)


def get_round(
    desk: DeskHere,
    settings: SettingsHere,
    note_look: NoteLookHere,
    day: str = "",
) -> RoundView:
    """The round of the day that the address names, today's where it names none."""
    listed = list_round(desk, parse_day(day))
    note_look(desk, Subject.ROUND, listed.day.isoformat())
    causes = list_causes(desk, list_caused(listed))
    words = {number: describe_cause(cause) for number, cause in causes.items()}
    arrival = _find_arrival(desk, settings, listed)
    return view_round(desk, listed, arrival, words, _find_recorders(desk, listed))


RoundHere = Annotated[RoundView, Depends(get_round)]


@router.get("/round", include_in_schema=False)
def show_round(request: Request, round_view: RoundHere) -> Response:
    """The people of a day."""
    return _show(request, "round.html", round_view)


@router.get("/round/now", include_in_schema=False)
def show_changes(
    request: Request, round_view: RoundHere, opened: str = "", seen: str = ""
) -> Response:
    """The part that changes, or nothing where the page already shows it as it is."""
    if opened and opened != round_view.day.isoformat():
        return Response(status_code=204, headers=_LOAD_AGAIN)
    if _render_now(request, round_view)[1] == seen:
        return Response(status_code=204)
    return _show(request, "round_renewed.html", round_view)


def _show(request: Request, template: str, round_view: RoundView) -> Response:
    now, digest = _render_now(request, round_view)
    chosen_day = request.query_params.get("day", "")
    return render(request, template, round=round_view, now=now, seen=digest, chosen_day=chosen_day)


def _find_arrival(desk: Desk, settings: Settings, listed: Round) -> Arrival | None:
    newest = find_newest_undecided(listed)
    if newest is None:
        return None
    order, attempt = newest
    assessment = open_assessment(desk, attempt.recording_id)
    return view_arrival(desk, order, attempt, assessment, settings.colour_code)


def _find_recorders(desk: Desk, listed: Round) -> RecordersLine | None:
    """What is to be said of recorders, which is only of today."""
    if listed.day != desk.today():
        return None
    return view_recorders_line(tuple(view_readiness(desk, each) for each in list_readiness(desk)))


def _render_now(request: Request, view: RoundView) -> tuple[Markup, str]:
    text = render_text(request, "round_now.html", round=view)
    digest = hashlib.sha256(text.encode()).hexdigest()[:16]
    return Markup(text), digest  # noqa: S704 (an escaped template's own text)
