"""The overlay is to scale, and says without colour which line is which."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.paper import overlay, render_comparison
from couchside.paper.inks import LOOKS, Ink
from couchside.paper.model import Polyline, Text
from couchside.paper.overlay import OVERLAY_SPEED_MM_PER_S
from couchside.paper.page import Page
from couchside.quality import check
from couchside.serial import Comparison, Examined, compare
from couchside.simulate import another_visit, random_scenario, simulate


@pytest.fixture(scope="module")
def new() -> Examined:
    recording = simulate(another_visit(random_scenario(3), days=90.0)).recording
    return Examined(recording=recording, assessment=check(recording))


@pytest.fixture(scope="module")
def comparison(new: Examined) -> Comparison:
    recording = simulate(random_scenario(3)).recording
    return compare(new, Examined(recording=recording, assessment=check(recording)))


def lines(page: Page, layer: str) -> dict[str, Polyline]:
    (found,) = (each for each in page.drawing.layers if each.name == layer)
    return {mark.name: mark for mark in found.marks if isinstance(mark, Polyline)}


def words(page: Page) -> str:
    marks = (mark for layer in page.drawing.layers for mark in layer.marks)
    return " ".join(mark.content for mark in marks if isinstance(mark, Text))


@pytest.mark.parametrize(("layer", "name"), [("beats", "new_uv"), ("earlier-beats", "old_uv")])
def test_both_beats_stand_to_scale(comparison: Comparison, layer: str, name: str) -> None:
    beats = comparison.beats
    assert beats is not None
    drawn = lines(overlay(comparison), layer)
    assert set(drawn) == set(beats.leads)
    for lead, line in drawn.items():
        microvolts = getattr(beats, name)[beats.leads.index(lead)]
        first = int(np.ceil(beats.qrs_onset - 0.25 * beats.rate_hz))
        shown = microvolts[first : first + len(line.points_mm)]
        heights = -line.points_mm[:, 1] / 10.0 * 1000.0
        np.testing.assert_allclose(heights - heights[0], shown - shown[0], atol=0.5)
        steps = np.diff(line.points_mm[:, 0])
        np.testing.assert_allclose(steps, OVERLAY_SPEED_MM_PER_S / beats.rate_hz, atol=1e-9)


def test_the_earlier_beat_is_a_broken_line() -> None:
    assert LOOKS[Ink.EARLIER].dash_mm is not None
    assert LOOKS[Ink.TRACE].dash_mm is None


def test_svg_and_pdf_break_the_line(comparison: Comparison) -> None:
    page = overlay(comparison)
    assert page.svg().count(b"stroke-dasharray") == 12
    assert page.pdf().startswith(b"%PDF")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_page_says_what_changed_and_fits(
    new: Examined, comparison: Comparison, paper: str
) -> None:
    page = render_comparison(new, comparison, paper=paper)
    told = words(page)
    assert "Comparison" in told
    assert "QRS duration" in told
    assert "Not like for like" in told
    assert comparison.same_heart.sentence.split(" ")[0] in told
    marks = [mark for layer in page.drawing.layers for mark in layer.marks]
    assert max(mark.y_mm for mark in marks if isinstance(mark, Text)) < page.drawing.height_mm


def test_without_beats_there_is_nothing_to_lay_over(new: Examined) -> None:
    flat = replace(new.recording, microvolts=np.zeros_like(new.recording.microvolts))
    empty = Examined(recording=flat, assessment=check(flat))
    found = compare(new, empty)
    with pytest.raises(InvalidInput, match="laid upon each other"):
        overlay(found)
    assert "could not be laid upon each other" in words(render_comparison(new, found))
