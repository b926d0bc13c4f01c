"""A recording on paper: the page as PDF and SVG, and a finding's stretch of tracing."""

from __future__ import annotations

from fastapi import APIRouter, Response

from couchside.errors import NotFound
from couchside.paper import Layout
from couchside.service import ExportedPage, PageFormat, export_page
from couchside.web.contexts.evidence import draw_evidence
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import DeskHere, RecordingHere, get_finding

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)

DEFAULT_LAYOUT = Layout.THREE_BY_FOUR_AND_ONE.value


@router.get("/page.pdf")
def get_pdf(desk: DeskHere, opened: RecordingHere, layout: str = DEFAULT_LAYOUT) -> Response:
    """The page to scale, for the printer."""
    page = export_page(desk, opened.summary.id, page_format=PageFormat.PDF, layout=layout)
    return _hand_out(page)


@router.get("/page.svg")
def get_svg(desk: DeskHere, opened: RecordingHere, layout: str = DEFAULT_LAYOUT) -> Response:
    """The page to scale, for the screen."""
    page = export_page(desk, opened.summary.id, page_format=PageFormat.SVG, layout=layout)
    return _hand_out(page)


@router.get("/findings/{number}.svg")
def get_excerpt(opened: RecordingHere, number: int) -> Response:
    """The stretch of tracing that shows a finding, to scale."""
    drawing = draw_evidence(opened, get_finding(opened, number))
    if drawing is None:
        raise NotFound(f"finding {number} shows in no lead; see its sentence instead")
    return Response(
        drawing.svg(),
        media_type="image/svg+xml",
        headers={"content-security-policy": DRAWING_POLICY},
    )


def _hand_out(page: ExportedPage) -> Response:
    return Response(
        page.content,
        media_type=page.media_type,
        headers={
            "content-disposition": f'inline; filename="{page.file_name}"',
            "content-security-policy": DRAWING_POLICY,
        },
    )
