"""Pages that are ready to be written as PDF or SVG."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.paper.model import Drawing
from couchside.paper.to_pdf import draw_pdf
from couchside.paper.to_svg import draw_svg


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page, drawn once, and the pages on which it is continued.

    Parameters
    ----------
    drawing : Drawing
        What stands on it, in millimetres.
    further : tuple of Drawing
        Pages that carry in full what the first one has no room for; empty where it has.
    """

    drawing: Drawing
    further: tuple[Drawing, ...] = ()

    def pdf(self) -> bytes:
        """All its pages as PDF to scale; see `couchside.paper.to_pdf.draw_pdf`."""
        return draw_pdf(self.drawing, *self.further)

    def svg(self) -> bytes:
        """The first page as SVG to scale; see `couchside.paper.to_svg.draw_svg`."""
        return draw_svg(self.drawing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pages:
    """Several pages of one document.

    Parameters
    ----------
    pages : tuple of Page
        At least one, in order.
    """

    pages: tuple[Page, ...]

    def pdf(self) -> bytes:
        """All pages in one PDF to scale; see `couchside.paper.to_pdf.draw_pdf`."""
        return draw_pdf(
            *(drawing for page in self.pages for drawing in (page.drawing, *page.further))
        )
