"""A recording as a page to scale."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.service.desk import Desk


class PageFormat(StrEnum):
    """The kinds of file that a page is written as."""

    PDF = "pdf"
    SVG = "svg"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportedPage:
    """A file to hand out."""

    content: bytes
    media_type: str
    file_name: str


def export_page(
    desk: Desk,
    recording_id: int,
    *,
    page_format: PageFormat = PageFormat.PDF,
    layout: str = "3x4+1",
) -> ExportedPage:
    """A recording's page on the department's paper; raises NotFound."""
    raise NotImplementedError
