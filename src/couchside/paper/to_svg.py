"""A drawing as SVG whose user unit is one millimetre."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from couchside.paper.inks import LOOKS, Colour, Ink, Look
from couchside.paper.model import Box, Drawing, Layer, Mark, Polyline, Rectangle, Segments, Text
from couchside.paper.typeface import FALLBACK_FAMILIES, FAMILY


def draw_svg(drawing: Drawing) -> bytes:
    """Write a drawing as SVG.

    Parameters
    ----------
    drawing : Drawing
        In millimetres; coordinates are written with three decimals.

    Returns
    -------
    bytes
        UTF-8. `width` and `height` are in mm and the view box has the same numbers, so that one
        user unit is one millimetre. Inks are classes; a layer is a group with its name in
        ``data-layer``, a named trace carries ``data-name``.
    """
    width, height = _number(drawing.width_mm), _number(drawing.height_mm)
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" class="couchside-page" '
        f"aria-label={quoteattr(drawing.description)}>"
    )
    lines = [
        opening,
        f"<title>{escape(drawing.title)}</title>",
        f"<desc>{escape(drawing.description)}</desc>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
    ]
    for layer in drawing.layers:
        lines += _layer_lines(layer)
    return "\n".join([*lines, "</svg>\n"]).encode()


def _layer_lines(layer: Layer) -> list[str]:
    opening, closing = f"<g data-layer={quoteattr(layer.name)}>", "</g>"
    if layer.clip is not None:
        # An inner svg clips without an id, so that several pages may stand in one document.
        place = _box_attributes(layer.clip)
        view = " ".join(
            _number(edge)
            for edge in (
                layer.clip.left_mm,
                layer.clip.top_mm,
                layer.clip.width_mm,
                layer.clip.height_mm,
            )
        )
        opening = f'<svg data-layer={quoteattr(layer.name)} {place} viewBox="{view}">'
        closing = "</svg>"
    return [opening, *(_mark_line(mark) for mark in layer.marks), closing]


def _mark_line(mark: Mark) -> str:
    match mark:
        case Text():
            return _text_element(mark)
        case Rectangle():
            return f"<rect {_box_attributes(mark.box)}{_look_attributes(mark.ink)}/>"
        case Polyline():
            name = f" data-name={quoteattr(mark.name)}" if mark.name else ""
            points = _coordinates(mark.points_mm[np.newaxis], first="%.3f,%.3f", later=" %.3f,%.3f")
            return f'<polyline{name} points="{points}"{_look_attributes(mark.ink)}/>'
        case Segments():
            path = _coordinates(mark.points_mm, first="M%.3f %.3f", later="L%.3f %.3f")
            return f'<path d="{path}"{_look_attributes(mark.ink)}/>'


def _text_element(mark: Text) -> str:
    weight = ' font-weight="bold"' if mark.bold else ""
    fill = _hex(LOOKS[mark.ink].fill or (0, 0, 0))
    return (
        f'<text x="{_number(mark.x_mm)}" y="{_number(mark.y_mm)}" fill="{fill}" '
        f'font-family="{FAMILY}, {FALLBACK_FAMILIES}" font-size="{_number(mark.size_mm)}"{weight} '
        f'text-anchor="{mark.anchor}">{escape(mark.content)}</text>'
    )


def _box_attributes(box: Box) -> str:
    return (
        f'x="{_number(box.left_mm)}" y="{_number(box.top_mm)}" '
        f'width="{_number(box.width_mm)}" height="{_number(box.height_mm)}"'
    )


def _look_attributes(ink: Ink) -> str:
    look: Look = LOOKS[ink]
    fill = _hex(look.fill) if look.fill is not None else "none"
    if look.stroke is None:
        return f' class="{ink}" fill="{fill}"'
    return (
        f' class="{ink}" fill="{fill}" stroke="{_hex(look.stroke)}" '
        f'stroke-width="{_number(look.width_mm)}" stroke-linecap="round" stroke-linejoin="round"'
        f"{_dash_attribute(look)}"
    )


def _dash_attribute(look: Look) -> str:
    if look.dash_mm is None:
        return ""
    return f' stroke-dasharray="{" ".join(map(_number, look.dash_mm))}"'


def _coordinates(lines_mm: NDArray[np.float64], *, first: str, later: str) -> str:
    one_line = first + later * (lines_mm.shape[1] - 1)
    coordinates: str = one_line * lines_mm.shape[0] % tuple(lines_mm.ravel().tolist())
    return coordinates


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
