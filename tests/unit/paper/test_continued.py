"""What has no room on the first page stands in full on the next ones; else there are none."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from couchside.measures.lead_model import LeadMeasures, LeadWave, StLevel, WaveName
from couchside.measures.model import Limits, Measured, MeasureName, Measures, Trust
from couchside.measures.tell_now import TellNow, TellNowItem
from couchside.paper import Page, render
from couchside.paper.model import Anchor, Drawing, Text
from couchside.paper.typeface import width_mm
from couchside.quality.model import Assessment
from couchside.recording import OrderReference, Patient, Recording

MakeRecording = Callable[..., Recording]
MakeAssessment = Callable[..., Assessment]


def told_later(page: Page, layer_name: str = "") -> str:
    """The words of all later pages, or of one layer there, a space between lines."""
    return " ".join(
        mark.content
        for drawing in page.further
        for layer in drawing.layers
        if layer_name in {"", layer.name}
        for mark in layer.marks
        if isinstance(mark, Text)
    )


def test_one_page_where_all_has_room(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    page = render(make_recording(), make_assessment("One."))
    assert page.further == ()
    assert len(PdfReader(BytesIO(page.pdf())).pages) == 1


def test_findings_that_do_not_fit_stand_with_their_remedies(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    sentences = [f"Finding number {index}." for index in range(90)]
    page = render(make_recording(), make_assessment(*sentences))
    later = told_later(page)
    assert all(sentence in later for sentence in sentences)
    assert later.count("Move the cable.") == 90
    assert len(PdfReader(BytesIO(page.pdf())).pages) == 1 + len(page.further)
    assert "Grzybowska, Zofia" in later
    assert f"page 2 of {1 + len(page.further)}" in later
    assert "Findings, and what to do, continued" in later


def test_measures_stand_with_limits_source_and_method(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    limits = Limits(
        low=350.0,
        high=450.0,
        population="adults",
        source="Example 2001, 2nd to 98th centile",
        trust=Trust.FROM_MEMORY,
    )
    measures = Measures(
        values=tuple(
            Measured(name=name, value=471.0, unit="ms", method=f"by way {n}", limits=limits)
            for n, name in enumerate(MeasureName)
        )
    )
    page = render(make_recording(remarks=("word",) * 200), make_assessment(measures=measures))
    later = told_later(page)
    assert later.count("471 ms 350 to 450 ▲ above") == len(MeasureName)
    assert later.count("adults (Example 2001, 2nd to 98th centile) ‡") == len(MeasureName)
    assert all(f"by way {n}" in later for n in range(len(MeasureName)))
    assert "‡ limit not checked against its source" in later


def test_a_long_remark_stands_in_full(make_recording: MakeRecording) -> None:
    remark = " ".join(f"word{index}" for index in range(900))
    page = render(make_recording(remarks=(remark,)))
    body = told_later(page, "continued")
    assert len(page.further) > 1
    assert remark in body.replace("Decision, symptoms, remarks, continued ", "")
    first = [m.content for layer in page.drawing.layers for m in layer.marks if isinstance(m, Text)]
    assert "… on the next page" in first


def test_values_to_tell_now_that_do_not_fit_stand_in_full(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    told = [f"value {n} is 31 /min (local protocol: at most 35 /min)" for n in range(20)]
    items = tuple(
        TellNowItem(measure="heart_rate", told=t, value=31.0, unit="/min", leads=(), source="ours")
        for t in told
    )
    now = TellNow(protocol_title="Ours", is_example=False, items=items, not_judged=())
    later = told_later(render(make_recording(), replace(make_assessment(), tell_now=now)))
    assert all(each in later for each in told)


def test_facts_under_the_plot_that_do_not_fit_stand_in_full(make_recording: MakeRecording) -> None:
    number = "A" * 300
    page = render(make_recording(order=OrderReference(accession_number=number)))
    assert number in told_later(page).replace(" ", "")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_later_pages_neither_collide_nor_leave_the_sheet(
    make_recording: MakeRecording, make_assessment: MakeAssessment, paper: str
) -> None:
    long = "Wolfeschlegelsteinhausen-Bergerdorff von und zu der Mustermannschaft"
    recording = make_recording(
        patient=Patient(identifier="W" * 64, family_name=long, given_name=long),
        remarks=(long,) * 90,
    )
    page = render(recording, make_assessment(*[f"{long} {n}." for n in range(60)]), paper=paper)
    assert len(page.further) > 1
    for drawing in page.further:
        boxes = [extent(mark) for mark in texts(drawing)]
        for left, top, right, bottom in boxes:
            assert left >= 7.0
            assert top >= 5.0
            assert right <= drawing.width_mm - 7.0
            assert bottom <= drawing.height_mm - 4.0
        assert not any(overlap(one, other) for one, other in itertools.combinations(boxes, 2))


Extent = tuple[float, float, float, float]


def texts(drawing: Drawing) -> list[Text]:
    return [mark for layer in drawing.layers for mark in layer.marks if isinstance(mark, Text)]


def extent(text: Text) -> Extent:
    width = width_mm(text.content, text.size_mm, bold=text.bold)
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor] * width
    left = text.x_mm - shift
    return left, text.y_mm - text.size_mm * 0.73, left + width, text.y_mm + text.size_mm * 0.2


def overlap(one: Extent, other: Extent) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_a_measure_without_value_stands_with_its_reason(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    page = render(make_recording(remarks=("word",) * 200), make_assessment())
    assert "PR interval not measurable no P wave test" in told_later(page, "continued")


def test_each_leads_waves_stand_there_too(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    waves = tuple(
        LeadWave(name=name, amplitude_uv=1234.0)
        if name is WaveName.R
        else LeadWave(name=name, reason="no such wave")
        for name in WaveName
    )
    lead = LeadMeasures(
        lead="V4",
        waves=waves,
        st=tuple(StLevel(after_j_ms=after, level_uv=-54.0) for after in (0, 20, 40, 60, 80)),
        i_segment_ms=None,
        k_segment_ms=None,
        peak_to_peak_uv=None,
        noise_uv=None,
    )
    assessment = make_assessment(*(f"Finding number {index}." for index in range(90)))
    measures = replace(assessment.measures, leads=(lead,))
    later = told_later(render(make_recording(), replace(assessment, measures=measures)))
    assert "Each lead, in mV" in later
    assert "V4 – – 1.23 – – – – −0.05 −0.05 −0.05 −0.05 −0.05" in later
