"""A drawing as PDF: vectors, embedded fonts, and the same bytes from the same drawing."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from couchside.paper.inks import LOOKS, Colour, Ink
from couchside.paper.model import Anchor, Box, Drawing, Layer, Mark, Polyline, Rectangle, Segments
from couchside.paper.model import Text as PageText
from couchside.paper.typeface import get_font, width_mm, without_unknown_characters
from couchside.paper.writing_order import in_visual_order
from couchside.version import __version__

POINTS_PER_MM = 72 / 25.4

# Writing streams as ASCII takes as long as all the rest of a page, and makes it a sixth larger.
# reportlab reads this setting from the process alone; it offers none for one document.
rl_config.useA85 = 0


def draw_pdf(*drawings: Drawing) -> bytes:
    """Write drawings as a PDF, a page each.

    Parameters
    ----------
    drawings : one or more Drawing
        In millimetres; coordinates are written in points with two decimals, which rounds by at
        most 0.002 mm. The first one names the document.

    Returns
    -------
    bytes
        PDF 1.3 with the used part of the fonts embedded. Its date is always 2000-01-01, so that the
        same drawing gives the same bytes.
    """
    buffer = BytesIO()
    for bold in (False, True):
        pdfmetrics.registerFont(get_font(bold))
    canvas = Canvas(
        buffer,
        pagesize=_size(drawings[0]),
        invariant=1,
        pageCompression=1,
        initialFontName=get_font(bold=False).fontName,  # type: ignore[arg-type] # typed wrongly
        lang="en",
    )
    _describe(canvas, drawings[0])
    for drawing in drawings:
        canvas.setPageSize(_size(drawing))
        for layer in drawing.layers:
            _draw_layer(canvas, layer, drawing.height_mm)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _size(drawing: Drawing) -> tuple[float, float]:
    return drawing.width_mm * POINTS_PER_MM, drawing.height_mm * POINTS_PER_MM


def _describe(canvas: Canvas, drawing: Drawing) -> None:
    canvas.setTitle(drawing.title)
    canvas.setSubject(drawing.description)
    canvas.setAuthor("Couchside")
    canvas.setCreator("Couchside")
    canvas.setProducer(f"Couchside {__version__}")


def _draw_layer(canvas: Canvas, layer: Layer, page_height_mm: float) -> None:
    canvas.saveState()
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    if layer.clip is not None:
        canvas.clipPath(_box_path(layer.clip, page_height_mm), stroke=0, fill=0)
    for mark in layer.marks:
        _draw_mark(canvas, mark, page_height_mm)
    canvas.restoreState()


def _draw_mark(canvas: Canvas, mark: Mark, page_height_mm: float) -> None:
    match mark:
        case PageText():
            _write_text(canvas, mark, page_height_mm)
        case Rectangle():
            _draw_path(canvas, _box_path(mark.box, page_height_mm), mark.ink)
        case Polyline():
            lines = mark.points_mm[np.newaxis]
            _draw_path(canvas, _lines_path(lines, page_height_mm), mark.ink)
        case Segments():
            _draw_path(canvas, _lines_path(mark.points_mm, page_height_mm), mark.ink)


def _write_text(canvas: Canvas, mark: PageText, page_height_mm: float) -> None:
    look = LOOKS[mark.ink]
    content = in_visual_order(without_unknown_characters(mark.content))
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[mark.anchor]
    left_mm = mark.x_mm - shift * width_mm(content, mark.size_mm, bold=mark.bold)
    canvas.setFillColorRGB(*_rgb(look.fill or (0, 0, 0)))
    canvas.setFont(get_font(mark.bold).fontName, mark.size_mm * POINTS_PER_MM)
    canvas.drawString(
        left_mm * POINTS_PER_MM, (page_height_mm - mark.y_mm) * POINTS_PER_MM, content
    )


def _draw_path(canvas: Canvas, path: PDFPathObject, ink: Ink) -> None:
    look = LOOKS[ink]
    if look.stroke is not None:
        canvas.setStrokeColorRGB(*_rgb(look.stroke))
        canvas.setLineWidth(look.width_mm * POINTS_PER_MM)
    if look.dash_mm is not None:
        canvas.setDash([part * POINTS_PER_MM for part in look.dash_mm])
    if look.fill is not None:
        canvas.setFillColorRGB(*_rgb(look.fill))
    canvas.drawPath(path, stroke=int(look.stroke is not None), fill=int(look.fill is not None))
    if look.dash_mm is not None:
        canvas.setDash()


def _rgb(colour: Colour) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255


def _box_path(box: Box, page_height_mm: float) -> PDFPathObject:
    path = PDFPathObject()
    path.rect(
        box.left_mm * POINTS_PER_MM,
        (page_height_mm - box.bottom_mm) * POINTS_PER_MM,
        box.width_mm * POINTS_PER_MM,
        box.height_mm * POINTS_PER_MM,
    )
    return path


def _lines_path(lines_mm: NDArray[np.float64], page_height_mm: float) -> PDFPathObject:
    """A path of lines, shape (line, point, 2), written in one go: a trace has 5000 points."""
    points = np.empty_like(lines_mm)
    points[..., 0] = lines_mm[..., 0] * POINTS_PER_MM
    points[..., 1] = (page_height_mm - lines_mm[..., 1]) * POINTS_PER_MM
    one_line = "%.2f %.2f m\n" + "%.2f %.2f l\n" * (lines_mm.shape[1] - 1)
    return PDFPathObject(["n", one_line * lines_mm.shape[0] % tuple(points.ravel().tolist())])
