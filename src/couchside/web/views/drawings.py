"""A recording on paper: the page as PDF and SVG, and a finding's stretch of tracing."""

from __future__ import annotations

from fastapi import APIRouter, Response

from couchside.errors import NotFound
from couchside.paper import Layout, overlay, render_comparison
from couchside.serial import Comparison, Examined
from couchside.service import (
    ExportedFile,
    OpenedRecording,
    PageFormat,
    export_page,
    export_put_right,
)
from couchside.service.filed_as import hand_out
from couchside.web.contexts.evidence import draw_evidence
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import DeskHere, RecordingHere, SettingsHere, get_finding

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


@router.get("/put-right.svg")
def get_put_right(desk: DeskHere, opened: RecordingHere) -> Response:
    """The recording as it would be with its exchanged cables put back: a derived preview."""
    return _hand_out(export_put_right(desk, opened.summary.id, page_format=PageFormat.SVG))


@router.get("/put-right.pdf")
def get_put_right_page(desk: DeskHere, opened: RecordingHere) -> Response:
    """The same for the printer, marked as derived."""
    return _hand_out(export_put_right(desk, opened.summary.id, page_format=PageFormat.PDF))


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


@router.get("/comparison.svg")
def get_overlay(opened: RecordingHere) -> Response:
    """Both beats of each lead, one over the other, to scale."""
    comparison = _get_comparison(opened)
    if comparison.beats is None:
        raise NotFound("the two beats could not be laid upon each other; see the table instead")
    return _hand_out_drawing(overlay(comparison).svg(), "image/svg+xml")


@router.get("/comparison.pdf")
def get_comparison_page(desk: DeskHere, opened: RecordingHere, settings: SettingsHere) -> Response:
    """The page that holds the recording against the earlier one, for the printer."""
    new = Examined(recording=hand_out(desk, opened), assessment=opened.assessment)
    page = render_comparison(new, _get_comparison(opened), paper=settings.paper_size)
    return _hand_out_drawing(page.pdf(), "application/pdf")


def _get_comparison(opened: OpenedRecording) -> Comparison:
    if opened.comparison is None:
        raise NotFound("no earlier recording of this person was kept; there is nothing to compare")
    return opened.comparison


def _hand_out_drawing(content: bytes, media_type: str) -> Response:
    return Response(
        content, media_type=media_type, headers={"content-security-policy": DRAWING_POLICY}
    )


def _hand_out(page: ExportedFile) -> Response:
    return Response(
        page.content,
        media_type=page.media_type,
        headers={
            "content-disposition": f'inline; filename="{page.file_name}"',
            "content-security-policy": DRAWING_POLICY,
        },
    )
