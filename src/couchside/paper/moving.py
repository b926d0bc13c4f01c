"""Marks and layers at another place of the page."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from couchside.paper.model import Box, Layer, Mark, Polyline, Rectangle, Segments, Text


def move_layer(layer: Layer, right_mm: float, down_mm: float) -> Layer:
    """The layer so far to the right and down, with all that stands in it."""
    return Layer(
        name=layer.name,
        marks=tuple(move_mark(mark, right_mm, down_mm) for mark in layer.marks),
        clip=None if layer.clip is None else move_box(layer.clip, right_mm, down_mm),
    )


def move_mark(mark: Mark, right_mm: float, down_mm: float) -> Mark:
    """The mark so far to the right and down."""
    match mark:
        case Text():
            return move_text(mark, right_mm, down_mm)
        case Rectangle():
            return replace(mark, box=move_box(mark.box, right_mm, down_mm))
        case Polyline() | Segments():
            return replace(mark, points_mm=mark.points_mm + np.array([right_mm, down_mm]))


def move_text(text: Text, right_mm: float, down_mm: float) -> Text:
    """The text so far to the right and down."""
    return replace(text, x_mm=text.x_mm + right_mm, y_mm=text.y_mm + down_mm)


def move_box(box: Box, right_mm: float, down_mm: float) -> Box:
    """The box so far to the right and down."""
    return replace(box, left_mm=box.left_mm + right_mm, top_mm=box.top_mm + down_mm)
