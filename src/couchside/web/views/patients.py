"""A person: all recordings, how they changed, and any two of them side by side."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.errors import InvalidInput, NotFound
from couchside.measures import MeasureName
from couchside.paper import DatedBeat, draw_beats_over_time, draw_trend, overlay
from couchside.service import amend_identity
from couchside.service.patients import (
    TREND_MEASURES,
    History,
    Pair,
    compare_two,
    list_beats,
    open_patient,
)
from couchside.service.printing import print_pair
from couchside.service.trail import Subject
from couchside.web.contexts.comparison_view import view_pair
from couchside.web.contexts.patient_view import (
    list_points,
    make_patient_address,
    name_measure,
    view_patient,
)
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import LARGEST_ID, DeskHere, NoteLookHere
from couchside.web.rendering import render
from couchside.web.views.typed_fields import IdentityFields

router = APIRouter(prefix="/patients", include_in_schema=False)


def get_history(desk: DeskHere, note_look: NoteLookHere, number: str) -> History:
    """The person whom the address names; raises NotFound."""
    history = open_patient(desk, number)
    note_look(desk, Subject.PATIENT, number.strip())
    return history


HistoryHere = Annotated[History, Depends(get_history)]


def get_pair(desk: DeskHere, history: HistoryHere, one: int, other: int) -> Pair:
    """Two recordings of the person; raises InvalidInput."""
    if not (0 < one <= LARGEST_ID and 0 < other <= LARGEST_ID):
        raise InvalidInput("a recording has a number from 1; choose two from the person's page")
    return compare_two(desk, history.patient.identifier, one_id=one, other_id=other)


PairHere = Annotated[Pair, Depends(get_pair)]


@router.get("")
def show_patient(request: Request, desk: DeskHere, history: HistoryHere) -> Response:
    """All recordings of a patient number, the newest first."""
    return render(request, "patient.html", patient=view_patient(desk, history))


@router.post("/identity")
def amend(
    desk: DeskHere, history: HistoryHere, form: Annotated[IdentityFields, Form()]
) -> Response:
    """Correct who the person is."""
    amended = amend_identity(desk, form.to_wish(history.patient.identifier))
    return RedirectResponse(make_patient_address(amended.after), status_code=303)


@router.get("/beats.svg")
def draw_beats(desk: DeskHere, history: HistoryHere) -> Response:
    """The newest recordings' beats of a few leads, side by side to one scale."""
    beats = list_beats(desk, history.patient.identifier)
    if not beats:
        raise NotFound("nothing was recorded of this person yet; there is nothing to draw")
    page = draw_beats_over_time(
        [
            DatedBeat(caption=f"{each.at.astimezone(desk.zone):%Y-%m-%d %H:%M}", beat=each.beat)
            for each in beats
        ]
    )
    return _hand_out(page.svg(), "image/svg+xml")


@router.get("/trend.svg")
def draw_measure(desk: DeskHere, history: HistoryHere, measure: MeasureName) -> Response:
    """One measure against the date."""
    if measure not in TREND_MEASURES:
        raise NotFound(f"{measure} is not followed over time; see the recordings instead")
    points = list_points(desk, history, measure)
    if not points:
        raise NotFound(f"{name_measure(measure)} was measured in no recording of this person")
    _, unit = points[0]
    page = draw_trend([point for point, _ in points], name=name_measure(measure), unit=unit)
    return _hand_out(page.svg(), "image/svg+xml")


@router.get("/comparison")
def show_comparison(request: Request, desk: DeskHere, pair: PairHere) -> Response:
    """Two recordings of the person, the later against the earlier."""
    return render(request, "pair.html", pair=view_pair(desk, pair))


@router.get("/comparison.svg")
def draw_overlay(pair: PairHere) -> Response:
    """Both beats of each lead, one over the other, to scale."""
    if pair.comparison.beats is None:
        raise NotFound("the two beats could not be laid upon each other; see the table instead")
    return _hand_out(overlay(pair.comparison).svg(), "image/svg+xml")


@router.get("/comparison.pdf")
def get_comparison_page(desk: DeskHere, pair: PairHere) -> Response:
    """The same, for the printer."""
    printed = print_pair(desk, pair)
    return _hand_out(printed.content, printed.media_type)


def _hand_out(content: bytes, media_type: str) -> Response:
    return Response(
        content, media_type=media_type, headers={"content-security-policy": DRAWING_POLICY}
    )
