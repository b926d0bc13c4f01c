"""To scale: grid, lead layouts, one page model, rendered to PDF and SVG."""

from couchside.paper.comparison import render_comparison
from couchside.paper.compose import render
from couchside.paper.excerpt import excerpt
from couchside.paper.filing import Filing, PrintedDecision
from couchside.paper.overlay import overlay
from couchside.paper.page import Page, Pages
from couchside.paper.sizes import Layout, LimbOrder, PaperSize
from couchside.paper.strip import render_strip

__all__ = [
    "Filing",
    "Layout",
    "LimbOrder",
    "Page",
    "Pages",
    "PaperSize",
    "PrintedDecision",
    "excerpt",
    "overlay",
    "render",
    "render_comparison",
    "render_strip",
]
