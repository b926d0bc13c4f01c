"""A recording as a page to scale."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.paper import Layout, Page, render
from couchside.service.desk import Desk
from couchside.service.filed_as import describe_filing
from couchside.service.opening import open_recording
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
) -> ExportedFile:
    """A recording's page on the department's paper.

    Raises NotFound, and InvalidInput where there is no such layout.
    """
    opened = open_recording(desk, recording_id)
    paper = get_settings(desk).paper_size
    page = render(
        opened.described,
        opened.assessment,
        layout=layout,
        paper=paper,
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
            detail={"format": page_format.value, "layout": str(layout), "paper": paper.value},
        )
    return exported


def _write(page: Page, page_format: PageFormat, *, name: str) -> ExportedFile:
    if page_format is PageFormat.PDF:
        return ExportedFile(
            content=page.pdf(), media_type="application/pdf", file_name=f"{name}.pdf"
        )
    return ExportedFile(content=page.svg(), media_type="image/svg+xml", file_name=f"{name}.svg")
