"""The evidence sheet: each finding where it is worst, to scale, the electrode apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader

from couchside.paper import draw_evidence, render_evidence
from couchside.paper.model import Drawing, Polyline, Segments, Text
from couchside.paper.sizes import PAPER_MM, PaperSize
from couchside.quality import Assessment, Finding, FindingKind, Verdict, check
from couchside.recording import Electrode, Recording
from couchside.simulate import Fault, FaultKind, get_scenario, simulate

MakeAssessment = Callable[..., Assessment]


@cache
def mains_on_v3() -> tuple[Recording, Assessment]:
    """Mains interference at one chest electrode, and what the check says of it."""
    recording = simulate(get_scenario("mains-on-v3")).recording
    return recording, check(recording)


def drawings_of(recording: Recording, assessment: Assessment, paper: str = "A4") -> list[Drawing]:
    pages = render_evidence(recording, assessment, paper=paper)
    assert pages is not None
    return [page.drawing for page in pages.pages]


def words_on(drawing: Drawing) -> list[str]:
    return [
        mark.content for layer in drawing.layers for mark in layer.marks if isinstance(mark, Text)
    ]


def traces_on(drawing: Drawing) -> dict[str, np.ndarray]:
    return {
        mark.name: mark.points_mm
        for layer in drawing.layers
        if layer.name == "traces"
        for mark in layer.marks
        if isinstance(mark, Polyline)
    }


def repeated(assessment: Assessment, count: int) -> Assessment:
    return replace(assessment, findings=assessment.findings[:1] * count)


def test_the_electrode_stands_apart_from_the_heart_to_scale() -> None:
    recording, assessment = mains_on_v3()
    (drawing,) = drawings_of(recording, assessment)
    traces = traces_on(drawing)
    assert list(traces) == ["V3", "by V3", "without"]
    seconds = (traces["V3"].shape[0] - 1) / recording.rate_hz
    for points in traces.values():
        assert np.ptp(points[:, 0]) == pytest.approx(25.0 * seconds)
    heights = {name: points[:, 1] - points[0, 1] for name, points in traces.items()}
    np.testing.assert_allclose(heights["by V3"] + heights["without"], heights["V3"], atol=1e-9)
    told = words_on(drawing)
    assert "25 mm/s, 10 mm/mV" in told
    assert any(each.startswith("1. Mains interference") for each in told)
    assert "record again · V3 · sure to 99%" in told


def test_the_page_and_the_print_are_drawn_by_the_same_code() -> None:
    recording, assessment = mains_on_v3()
    alone = draw_evidence(recording, assessment, assessment.findings[0])
    assert alone is not None
    on_page, on_sheet = (
        traces_on(each) for each in (alone.drawing, drawings_of(recording, assessment)[0])
    )
    for name, points in on_page.items():
        moved = on_sheet[name] - points
        np.testing.assert_allclose(moved, np.broadcast_to(moved[0], moved.shape), atol=1e-9)


@pytest.mark.parametrize("paper", list(PaperSize))
def test_many_findings_go_on_and_stay_on_the_sheet(paper: PaperSize) -> None:
    recording, assessment = mains_on_v3()
    drawings = drawings_of(recording, repeated(assessment, 5), paper)
    assert [f"page {n} of 3" in words_on(each) for n, each in enumerate(drawings, start=1)] == [
        True
    ] * 3
    assert sum(each.content[:1].isdigit() and ". " in each.content for drawing in drawings
               for layer in drawing.layers if layer.name == "finding" for each in layer.marks
               if isinstance(each, Text)) == 5  # fmt: skip
    width, height = PAPER_MM[paper]
    for drawing in drawings:
        for layer in drawing.layers:
            for mark in layer.marks:
                if isinstance(mark, Polyline | Segments):
                    corners = mark.points_mm.reshape(-1, 2)
                    assert (corners >= 0.0).all()
                    assert (corners <= [width, height]).all()
    pages = render_evidence(recording, repeated(assessment, 5), paper=paper)
    assert pages is not None
    assert len(PdfReader(BytesIO(pages.pdf())).pages) == 3


def test_a_drawing_taller_than_the_page_is_halved_and_says_so() -> None:
    fault = Fault(kind=FaultKind.WANDER, electrode=Electrode.LA, amplitude_uv=15000.0)
    recording = simulate(replace(get_scenario("good"), faults=(fault,))).recording
    assessment = check(recording)
    assert assessment.findings
    (drawing, *_) = drawings_of(recording, assessment)
    assert "25 mm/s, 5 mm/mV" in words_on(drawing)


def test_what_shows_in_no_lead_is_told_and_alone_makes_no_sheet() -> None:
    recording, assessment = mains_on_v3()
    nameless = Finding(
        kind=FindingKind.IDENTITY, asks=Verdict.KEEP_WITH_REMARK, confidence=1.0,
        sentence="The file states no date of birth.", remedy="",
    )  # fmt: skip
    both = replace(assessment, findings=(*assessment.findings, nameless))
    told = words_on(drawings_of(recording, both)[0])
    assert "Not drawn, as it shows in no lead" in told
    assert "2. The file states no date of birth." in told
    assert render_evidence(recording, replace(assessment, findings=(nameless,))) is None
    assert render_evidence(recording, replace(assessment, findings=())) is None
