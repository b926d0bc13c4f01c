"""How a sheet is divided: header, banner, plot, footer."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.paper.model import Box
from couchside.paper.sizes import PAPER_MM, PaperSize

CONTENT_WIDTH_MM = 265.0
"""250 mm, which is 10 s at 25 mm/s, and 15 mm for the calibration pulse; fits either sheet."""

IDENTITY_MM = 13.0
DETAILS_MM = 31.4
TELL_NOW_LINE_MM = 5.2
BANNER_LINE_MM = 3.7
_TOP_MM = 5.2
_BANNER_EDGES_MM = 1.3
_GAP_MM = 1.1
_FOOTER_MM = 12.4
_BOTTOM_MM = 4.2
_COARSE_MM = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Frames:
    """The areas of a sheet; `tell_now` and `banner` are None where nothing needs them."""

    width_mm: float
    height_mm: float
    identity: Box
    tell_now: Box | None
    banner: Box | None
    details: Box
    plot: Box
    footer: Box


def divide_sheet(
    paper: PaperSize,
    *,
    banner_lines: int = 0,
    tell_now_lines: int = 0,
    details_mm: float = DETAILS_MM,
    identity_mm: float = IDENTITY_MM,
) -> Frames:
    """Areas of a sheet, from the top; the plot takes what is left, in whole coarse squares."""
    width, height = PAPER_MM[paper]
    left = (width - CONTENT_WIDTH_MM) / 2
    identity = Box(left_mm=left, top_mm=_TOP_MM, width_mm=CONTENT_WIDTH_MM, height_mm=identity_mm)
    tell_now = _below(identity, tell_now_lines * TELL_NOW_LINE_MM) if tell_now_lines else None
    banner_mm = banner_lines * BANNER_LINE_MM + _BANNER_EDGES_MM
    banner = _below(tell_now or identity, banner_mm) if banner_lines else None
    details = _below(banner or tell_now or identity, details_mm)
    room = height - _BOTTOM_MM - _FOOTER_MM - _GAP_MM - details.bottom_mm - _GAP_MM
    plot = _below(details, room // _COARSE_MM * _COARSE_MM)
    footer = _below(plot, height - _BOTTOM_MM - _GAP_MM - plot.bottom_mm)
    return Frames(
        width_mm=width,
        height_mm=height,
        identity=identity,
        tell_now=tell_now,
        banner=banner,
        details=details,
        plot=plot,
        footer=footer,
    )


def _below(box: Box, height_mm: float) -> Box:
    return Box(
        left_mm=box.left_mm,
        top_mm=box.bottom_mm + _GAP_MM,
        width_mm=box.width_mm,
        height_mm=height_mm,
    )
