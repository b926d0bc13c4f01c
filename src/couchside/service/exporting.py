"""A recording as a page to scale."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import NotFound
from couchside.paper import Filing, Layout, LimbOrder, Page, render
from couchside.quality.interchange import find_exchange_to_undo, put_right_as_told
from couchside.service.desk import Desk
from couchside.service.filed_as import describe_filing
from couchside.service.opening import check_is_persons, open_recording
from couchside.service.settings import get_settings
from couchside.service.trail import Deed, Subject, write_trail


class PageFormat(StrEnum):
    """The kinds of file that a page is written as."""

    PDF = "pdf"
    SVG = "svg"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportedFile:
    """A file to hand out."""

    content: bytes
    media_type: str
    file_name: str


def export_page(
    desk: Desk,
    recording_id: int,
    *,
    page_format: PageFormat = PageFormat.PDF,
    layout: Layout | str = Layout.THREE_BY_FOUR_AND_ONE,
    limb_order: LimbOrder | str = LimbOrder.STANDARD,
) -> ExportedFile:
    """A recording's page on the department's paper.

    Raises NotFound, and InvalidInput where there is no such layout or order, or where it is of a
    recorder's own pulse.
    """
    opened = open_recording(desk, recording_id)
    check_is_persons(opened)
    paper = get_settings(desk).paper_size
    page = render(
        opened.described,
        opened.assessment,
        layout=layout,
        paper=paper,
        limb_order=limb_order,
        filing=describe_filing(desk, opened),
    )
    exported = _write(page, page_format, name=f"recording-{recording_id}")
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.EXPORTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={
                "format": page_format.value,
                "layout": str(layout),
                "limb_order": str(limb_order),
                "paper": paper.value,
            },
        )
    return exported


def export_put_right(
    desk: Desk, recording_id: int, *, page_format: PageFormat = PageFormat.PDF
) -> ExportedFile:
    """A preview of a recording with its exchanged cables put back: drawn when asked, never stored.

    The drawing says that it is derived, and by which exchange; it bears no verdict and no decision,
    which are the recording's. Raises NotFound where no exchange is told that software can undo, and
    InvalidInput where it is of a recorder's own pulse.
    """
    opened = open_recording(desk, recording_id)
    check_is_persons(opened)
    arrangement = find_exchange_to_undo(opened.assessment.findings)
    if arrangement is None:
        raise NotFound(
            f"recording {recording_id} shows no exchange of cables that software can undo; "
            "look at the recording as it is"
        )
    page = render(
        put_right_as_told(opened.described, arrangement),
        paper=get_settings(desk).paper_size,
        filing=Filing(patient=opened.order.patient if opened.order is not None else None),
    )
    exported = _write(page, page_format, name=f"recording-{recording_id}-derived-preview")
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.EXPORTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={"format": page_format.value, "derived": "cables put back"},
        )
    return exported


def _write(page: Page, page_format: PageFormat, *, name: str) -> ExportedFile:
    if page_format is PageFormat.PDF:
        return ExportedFile(
            content=page.pdf(), media_type="application/pdf", file_name=f"{name}.pdf"
        )
    return ExportedFile(content=page.svg(), media_type="image/svg+xml", file_name=f"{name}.svg")
