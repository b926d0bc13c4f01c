"""A strip of chosen leads: the page, its pictures, and the PDF to scale."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response

from couchside.errors import NotFound
from couchside.service.stripping import StripChoice, draw_strip, export_strip
from couchside.web.contexts.strip_view import view_strip
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import DeskHere, RecordingHere
from couchside.web.rendering import render

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)

_Number = Annotated[float, Query(ge=0, allow_inf_nan=False)]


def get_choice(
    lead: Annotated[tuple[str, ...], Query()] = (),
    from_s: _Number = 0.0,
    seconds: Annotated[float | None, Query(gt=0, allow_inf_nan=False)] = None,
    speed: _Number = 25.0,
    gain: _Number = 10.0,
) -> StripChoice:
    """What the form asks for; a lead that was left open is not named."""
    return StripChoice(
        leads=tuple(each for each in lead if each),
        from_s=from_s,
        seconds=seconds,
        speed_mm_per_s=speed,
        gain_mm_per_mv=gain,
    )


ChoiceHere = Annotated[StripChoice, Depends(get_choice)]


@router.get("/strip")
def show_strip(
    request: Request, desk: DeskHere, opened: RecordingHere, choice: ChoiceHere
) -> Response:
    """Which leads and which seconds; their rhythm; the strip to scale."""
    view = view_strip(opened, draw_strip(desk, opened, choice))
    return render(request, "strip.html", strip=view)


@router.get("/strip.svg")
def get_strip_svg(
    desk: DeskHere, opened: RecordingHere, choice: ChoiceHere, page: int = 1
) -> Response:
    """One page of the strip, for the screen."""
    pages = draw_strip(desk, opened, choice).pages.pages
    if not 1 <= page <= len(pages):
        raise NotFound(f"the strip has no page {page}; it has {len(pages)}")
    return Response(
        pages[page - 1].svg(),
        media_type="image/svg+xml",
        headers={"content-security-policy": DRAWING_POLICY},
    )


@router.get("/strip.pdf")
def get_strip_pdf(desk: DeskHere, opened: RecordingHere, choice: ChoiceHere) -> Response:
    """All pages of the strip to scale, for the printer."""
    exported = export_strip(desk, opened.summary.id, choice)
    return Response(
        exported.content,
        media_type=exported.media_type,
        headers={
            "content-disposition": f'inline; filename="{exported.file_name}"',
            "content-security-policy": DRAWING_POLICY,
        },
    )
