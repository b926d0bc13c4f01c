"""To scale: grid, lead layouts, one page model, rendered to PDF and SVG."""

from couchside.paper.compose import render
from couchside.paper.excerpt import excerpt
from couchside.paper.page import Page
from couchside.paper.sizes import Layout, LimbOrder, PaperSize

__all__ = ["Layout", "LimbOrder", "Page", "PaperSize", "excerpt", "render"]
