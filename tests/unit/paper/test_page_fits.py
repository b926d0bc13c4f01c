"""Nothing runs off the sheet and no words collide, whatever is asked and however long names are."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.paper import Layout, Page, PaperSize, render
from couchside.paper.frames import divide_sheet
from couchside.paper.model import Anchor, Text
from couchside.paper.typeface import width_mm
from couchside.quality.model import Assessment
from couchside.recording import STANDARD_LEADS, Device, OrderReference, Patient, Recording

MakeRecording = Callable[..., Recording]
MakeAssessment = Callable[..., Assessment]

LONG = "Wolfeschlegelsteinhausen-Bergerdorff von und zu der Mustermannschaft"
LEAST_TYPE_MM = 2.2


def extent(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a text, with the height of its capitals and its descent."""
    width = width_mm(text.content, text.size_mm, bold=text.bold)
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor] * width
    left = text.x_mm - shift
    return left, text.y_mm - text.size_mm * 0.73, left + width, text.y_mm + text.size_mm * 0.2


def texts(page: Page, *layers: str) -> list[Text]:
    return [
        mark
        for layer in page.drawing.layers
        if layer.name in layers
        for mark in layer.marks
        if isinstance(mark, Text)
    ]


def overlap(one: Text, other: Text) -> bool:
    left, top, right, bottom = extent(one)
    other_left, other_top, other_right, other_bottom = extent(other)
    return left < other_right and other_left < right and top < other_bottom and other_top < bottom


@pytest.mark.parametrize(("paper", "banner"), list(itertools.product(PaperSize, [False, True])))
def test_sheet_is_divided_without_rest(paper: PaperSize, banner: bool) -> None:  # noqa: FBT001
    frames = divide_sheet(paper, banner_lines=int(banner))
    assert frames.plot.height_mm % 5 == 0
    assert frames.plot.width_mm == 265.0
    boxes = [frames.identity, frames.banner, frames.details, frames.plot, frames.footer]
    present = [box for box in boxes if box is not None]
    for upper, lower in itertools.pairwise(present):
        assert lower.top_mm >= upper.bottom_mm
    assert frames.footer.bottom_mm <= frames.height_mm - 4.0
    assert frames.identity.left_mm >= 7.0


@pytest.mark.parametrize("layout", list(Layout))
@pytest.mark.parametrize("paper", list(PaperSize))
def test_words_neither_collide_nor_leave_the_sheet(
    make_recording: MakeRecording,
    make_assessment: MakeAssessment,
    paper: PaperSize,
    layout: Layout,
) -> None:
    recording = make_recording(
        patient=Patient(identifier="X" * 64, family_name=LONG, given_name=LONG),
        device=Device(manufacturer=LONG, model=LONG, serial_number=LONG, software_version=LONG),
        order=OrderReference(accession_number="A" * 64),
        remarks=(LONG,) * 9,
    )
    page = render(
        recording,
        make_assessment(*[f"{LONG} {index}." for index in range(12)]),
        paper=paper,
        layout=layout,
        chest_gain_mm_per_mv=5,
    )
    words = texts(page, "header", "banner", "report", "footer")
    assert any("2025-03-14 09:12:33 UTC+01:00" in text.content for text in words)
    for text in words:
        left, top, right, bottom = extent(text)
        assert left >= 7.0
        assert right <= page.drawing.width_mm - 7.0
        assert top >= 5.0
        assert bottom <= page.drawing.height_mm - 4.0
    collisions = [
        (one.content, other.content)
        for one, other in itertools.combinations(words, 2)
        if overlap(one, other)
    ]
    assert collisions == []


def test_all_type_is_large_enough(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    page = render(make_recording(), make_assessment("One."), chest_gain_mm_per_mv=5)
    sizes = {
        mark.size_mm
        for layer in page.drawing.layers
        for mark in layer.marks
        if isinstance(mark, Text)
    }
    assert min(sizes) >= LEAST_TYPE_MM


@pytest.mark.parametrize("layout", list(Layout))
@pytest.mark.parametrize("count", [1, 2, 8, 12, 15, 18])
def test_level_lines_and_pulses_stay_in_the_plot(
    make_recording: MakeRecording, layout: Layout, count: int
) -> None:
    leads = (*STANDARD_LEADS, "V7", "V8", "V9", "V3R", "V4R", "V5R")[:count]
    page = render(make_recording(leads), layout=layout, gain_mm_per_mv=20)
    by_name = {layer.name: layer for layer in page.drawing.layers}
    plot = by_name["traces"].clip
    assert plot is not None
    for mark in by_name["calibration"].marks:
        points = mark.points_mm  # type: ignore[union-attr]
        assert points[:, 1].min() >= plot.top_mm
        assert points[:, 1].max() <= plot.bottom_mm
        assert points[:, 0].min() >= plot.left_mm


def test_pulses_taller_than_a_row_take_turns(make_recording: MakeRecording) -> None:
    page = render(make_recording(), layout="12x1", gain_mm_per_mv=20)
    calibration = next(layer for layer in page.drawing.layers if layer.name == "calibration")
    lefts = [float(mark.points_mm[1, 0]) for mark in calibration.marks]  # type: ignore[union-attr]
    assert all(abs(one - other) > 5.0 for one, other in itertools.pairwise(lefts))
    assert len(set(lefts)) == 2


@pytest.mark.parametrize("start_s", [-0.1, 10.0, 99.0, float("nan")])
def test_page_cannot_begin_outside_the_recording(
    make_recording: MakeRecording, start_s: float
) -> None:
    with pytest.raises(InvalidInput, match="choose a start within it"):
        render(make_recording(), start_s=start_s)


def test_unknown_choices_are_refused(make_recording: MakeRecording) -> None:
    with pytest.raises(InvalidInput, match="choose A4 or letter"):
        render(make_recording(), paper="A5")
    with pytest.raises(InvalidInput, match="choose standard or Cabrera"):
        render(make_recording(), limb_order="reverse")


@pytest.mark.parametrize("layout", list(Layout))
def test_tall_wave_in_the_top_row_gets_its_room(
    make_recording: MakeRecording, layout: Layout
) -> None:
    samples = np.zeros((12, 1000))
    samples[:, 30::80] = 2500.0
    page = render(make_recording(microvolts=samples), layout=layout)
    by_name = {layer.name: layer for layer in page.drawing.layers}
    plot = by_name["traces"].clip
    assert plot is not None
    assert min(line.points_mm[:, 1].min() for line in by_name["traces"].marks) > plot.top_mm  # type: ignore[union-attr]
    assert not any("mV" in text.content for text in texts(page, "labels"))
