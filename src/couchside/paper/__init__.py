"""To scale: grid, lead layouts, one page model, rendered to PDF and SVG."""

from couchside.paper.beats_over_time import DatedBeat, draw_beats_over_time
from couchside.paper.comparison import render_comparison
from couchside.paper.compose import render
from couchside.paper.evidence import draw_evidence, is_drawn_apart, shows_in_a_lead
from couchside.paper.evidence_sheet import render_evidence
from couchside.paper.excerpt import excerpt
from couchside.paper.filing import Filing, PrintedDecision
from couchside.paper.overlay import overlay
from couchside.paper.page import Page, Pages
from couchside.paper.sizes import Layout, LimbOrder, PaperSize
from couchside.paper.strip import render_strip
from couchside.paper.trend import TrendPoint, draw_trend
from couchside.paper.two_stretches import Stretch, draw_two_stretches

__all__ = [
    "DatedBeat",
    "Filing",
    "Layout",
    "LimbOrder",
    "Page",
    "Pages",
    "PaperSize",
    "PrintedDecision",
    "Stretch",
    "TrendPoint",
    "draw_beats_over_time",
    "draw_evidence",
    "draw_trend",
    "draw_two_stretches",
    "excerpt",
    "is_drawn_apart",
    "overlay",
    "render",
    "render_comparison",
    "render_evidence",
    "render_strip",
    "shows_in_a_lead",
]
