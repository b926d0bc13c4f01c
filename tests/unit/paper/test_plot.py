"""Rows share the height by need, and labels stand where no trace runs."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from couchside.paper import Layout, Page, render, render_strip
from couchside.paper.model import Box, Polyline, Rectangle, Text
from couchside.paper.rows import place_baselines
from couchside.recording import Recording

MakeRecording = Callable[..., Recording]
BOX = Box(left_mm=10.0, top_mm=50.0, width_mm=265.0, height_mm=140.0)


def test_rows_stand_evenly_where_there_is_room() -> None:
    lines = place_baselines(BOX, [(5.0, 3.0)] * 4, pulse_mm=10.0)
    assert {below - above for above, below in pairwise(lines)} == {35.0}


def test_tall_rows_get_what_they_need() -> None:
    lines = place_baselines(BOX, [(2.0, 1.0), (2.0, 25.0), (25.0, 1.0), (2.0, 1.0)], pulse_mm=10.0)
    assert lines[2] - lines[1] == pytest.approx(50.0, abs=1.0)
    assert lines[1] - lines[0] < 35.0


def test_where_room_is_short_distances_follow_the_need() -> None:
    extents = [(5.0, 2.0)] * 6 + [(12.0, 12.0)] * 6
    lines = place_baselines(BOX, extents, pulse_mm=10.0)
    distances = [below - above for above, below in pairwise(lines)]
    assert max(distances[:5]) < min(distances[6:])
    assert min(distances) >= 5.0
    assert lines[0] - BOX.top_mm >= 11.5
    assert BOX.bottom_mm - lines[-1] >= 12.0


def test_one_wild_lead_does_not_take_the_room_of_others() -> None:
    lines = place_baselines(BOX, [(5.0, 2.0), (400.0, 400.0), (5.0, 2.0)], pulse_mm=10.0)
    distances = [below - above for above, below in pairwise(lines)]
    assert min(distances) > 30.0


@pytest.mark.parametrize("layout", list(Layout))
def test_no_trace_runs_through_a_label(make_recording: MakeRecording, layout: Layout) -> None:
    """Waves of ±1.2 mV through the usual places of the labels, quiet from 0.3 s on."""
    assert not has_trace_in_a_label(render(make_recording(microvolts=make_waves()), layout=layout))


def test_none_does_on_a_strip_of_several_lines(make_recording: MakeRecording) -> None:
    recording = make_recording(microvolts=np.tile(make_waves(), 20))
    page = render_strip(recording, ("II", "V1"), 0.0, 22.0).pages[0]
    assert len({box.top_mm for box in label_boxes(page)}) > 2
    assert not has_trace_in_a_label(page)


def make_waves() -> np.ndarray:
    samples = np.zeros((12, 1000))
    for start in range(0, 1000, 80):
        samples[:, start : start + 20] = 1200.0 * np.sin(np.linspace(0.0, 12.0, 20))
    return samples


def has_trace_in_a_label(page: Page) -> bool:
    for box in label_boxes(page):
        for trace in traces(page):
            x, y = trace.points_mm[:, 0], trace.points_mm[:, 1]
            is_inside = (
                (x > box.left_mm) & (x < box.right_mm) & (y > box.top_mm) & (y < box.bottom_mm)
            )
            if is_inside.any():
                return True
    return False


def label_boxes(page: Page) -> list[Box]:
    """The white plates under the labels; other words have none in these recordings."""
    plates = next(layer for layer in page.drawing.layers if layer.name == "plates")
    labels = next(layer for layer in page.drawing.layers if layer.name == "labels")
    boxes = [mark.box for mark in plates.marks if isinstance(mark, Rectangle)]
    assert len(boxes) == sum(isinstance(mark, Text) for mark in labels.marks)
    return boxes


def traces(page: Page) -> list[Polyline]:
    layer = next(layer for layer in page.drawing.layers if layer.name == "traces")
    return [mark for mark in layer.marks if isinstance(mark, Polyline)]
