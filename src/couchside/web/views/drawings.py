"""A recording on paper: the page as PDF and SVG, and a finding's stretch of tracing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Response

from couchside.errors import NotFound
from couchside.paper import Layout, LimbOrder, draw_evidence, overlay
from couchside.serial import Comparison, Examined
from couchside.service import (
    Desk,
    ExportedFile,
    OpenedRecording,
    PageFormat,
    export_page,
    export_put_right,
    open_recording,
)
from couchside.service.filed_as import hand_out
from couchside.service.printing import print_comparison
from couchside.service.trail import Subject
from couchside.web.contexts.progress_view import find_attempt_before
from couchside.web.contexts.side_by_side import draw_side_by_side
from couchside.web.guard import DRAWING_POLICY
from couchside.web.lookup import DeskHere, NoteLookHere, RecordingHere, get_finding

router = APIRouter(prefix="/recordings/{recording_id}", include_in_schema=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageChoice:
    """How the leads are to stand on the page."""

    layout: str = Layout.THREE_BY_FOUR_AND_ONE.value
    limb_order: str = LimbOrder.STANDARD.value


PageChoiceHere = Annotated[PageChoice, Depends()]


@router.get("/page.pdf")
def get_pdf(desk: DeskHere, opened: RecordingHere, choice: PageChoiceHere) -> Response:
    """The page to scale, for the printer."""
    return _export(desk, opened, PageFormat.PDF, choice)


@router.get("/page.svg")
def get_svg(desk: DeskHere, opened: RecordingHere, choice: PageChoiceHere) -> Response:
    """The page to scale, for the screen."""
    return _export(desk, opened, PageFormat.SVG, choice)


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
    drawing = draw_evidence(opened.recording, opened.assessment, get_finding(opened, number))
    if drawing is None:
        raise NotFound(f"finding {number} shows in no lead; see its sentence instead")
    return Response(
        drawing.svg(),
        media_type="image/svg+xml",
        headers={"content-security-policy": DRAWING_POLICY},
    )


@router.get("/side-by-side.svg")
def get_attempts_side_by_side(
    desk: DeskHere, opened: RecordingHere, note_look: NoteLookHere
) -> Response:
    """This attempt under the one before it, to scale, where something was noticed."""
    earlier = find_attempt_before(opened)
    if earlier is None:
        raise NotFound(f"no attempt lies before recording {opened.summary.id}")
    note_look(desk, Subject.RECORDING, earlier.recording_id)
    page = draw_side_by_side(open_recording(desk, earlier.recording_id), opened)
    if page is None:
        raise NotFound("nothing was noticed that shows in a lead of both attempts")
    return _hand_out_drawing(page.svg(), "image/svg+xml")


@router.get("/comparison.svg")
def get_overlay(opened: RecordingHere) -> Response:
    """Both beats of each lead, one over the other, to scale."""
    comparison = _get_comparison(opened)
    if comparison.beats is None:
        raise NotFound("the two beats could not be laid upon each other; see the table instead")
    return _hand_out_drawing(overlay(comparison).svg(), "image/svg+xml")


@router.get("/comparison.pdf")
def get_comparison_page(desk: DeskHere, opened: RecordingHere, note_look: NoteLookHere) -> Response:
    """The page that holds the recording against the earlier one, for the printer."""
    comparison = _get_comparison(opened)
    if opened.earlier_id is not None:
        note_look(desk, Subject.RECORDING, opened.earlier_id)
    new = Examined(recording=hand_out(desk, opened), assessment=opened.assessment)
    return _hand_out(print_comparison(desk, opened.summary.id, new, comparison))


def _get_comparison(opened: OpenedRecording) -> Comparison:
    if opened.comparison is None:
        raise NotFound("no earlier recording of this person was kept; there is nothing to compare")
    return opened.comparison


def _hand_out_drawing(content: bytes, media_type: str) -> Response:
    return Response(
        content, media_type=media_type, headers={"content-security-policy": DRAWING_POLICY}
    )


def _export(
    desk: Desk, opened: OpenedRecording, page_format: PageFormat, choice: PageChoice
) -> Response:
    page = export_page(
        desk,
        opened.summary.id,
        page_format=page_format,
        layout=choice.layout,
        limb_order=choice.limb_order,
    )
    return _hand_out(page)


def _hand_out(page: ExportedFile) -> Response:
    return Response(
        page.content,
        media_type=page.media_type,
        headers={
            "content-disposition": f'inline; filename="{page.file_name}"',
            "content-security-policy": DRAWING_POLICY,
        },
    )
