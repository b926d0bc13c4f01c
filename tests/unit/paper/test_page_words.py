"""What stands on the page in words: identity, settings, deviations, verdict, measures, findings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest

from couchside.measures.model import MeasureName, Measures, Trust
from couchside.paper import Page, render
from couchside.paper.inks import Ink
from couchside.paper.model import Rectangle, Text
from couchside.quality.model import Assessment, Verdict
from couchside.recording import (
    STANDARD_LEADS,
    AcquisitionSettings,
    Device,
    OrderReference,
    Patient,
    Placement,
    Recording,
    Sex,
)

MakeRecording = Callable[..., Recording]
MakeAssessment = Callable[..., Assessment]


def words(page: Page, layer: str | None = None) -> str:
    return "\n".join(
        mark.content
        for item in page.drawing.layers
        if layer in {None, item.name}
        for mark in item.marks
        if isinstance(mark, Text)
    )


def test_identity_is_told(make_recording: MakeRecording) -> None:
    told = words(render(make_recording()), "header")
    for fact in (
        "Grzybowska, Zofia", "No. 4711-0815", "born 1956-08-02 (68 years)", "female",
        "2025-03-14 09:12:33 UTC+01:00",
    ):  # fmt: skip
        assert fact in told


def test_what_is_not_stated_is_said_to_be_so(make_recording: MakeRecording) -> None:
    bare = make_recording(
        patient=Patient(),
        start=None,
        settings=AcquisitionSettings(),
        placement=Placement.NOT_STATED,
        device=Device(),
        order=OrderReference(),
        origin=None,
    )
    told = words(render(bare))
    for fact in (
        "name not stated", "number not stated", "date of birth not stated", "age not stated",
        "sex not stated", "date and time not stated", "high-pass not stated",
        "low-pass not stated", "mains filter not stated", "resolution not stated",
        "electrode placement not stated", "order not stated", "recorder not stated",
        "software not stated", "file not stated",
    ):  # fmt: skip
        assert fact in told
    assert "NON-STANDARD" not in told


@pytest.mark.parametrize(
    ("start", "told"),
    [
        (datetime(2025, 3, 14, 9, 12, 33), "2025-03-14 09:12:33 zone not stated"),  # noqa: DTZ001
        (datetime(2025, 3, 14, 9, 12, 33, tzinfo=UTC), "09:12:33 UTC"),
        (
            datetime(2025, 3, 14, 9, 12, 33, tzinfo=timezone(timedelta(hours=-3, minutes=-30))),
            "09:12:33 UTC−03:30",
        ),
    ],
)
def test_time_is_told_with_its_zone(
    make_recording: MakeRecording, start: datetime, told: str
) -> None:
    assert told in words(render(make_recording(start=start)), "header")


@pytest.mark.parametrize(
    ("birth", "told"),
    [
        (date(2025, 3, 13), "(1 day)"),
        (date(2025, 3, 1), "(13 days)"),
        (date(2024, 9, 13), "(6 months)"),
        (date(2007, 3, 14), "(18 years)"),
        (date(2007, 3, 15), "(17 years)"),
        (date(2026, 1, 1), "born after the recording"),
    ],
)
def test_age_is_told_in_the_unit_that_counts(
    make_recording: MakeRecording, birth: date, told: str
) -> None:
    recording = make_recording(patient=Patient(birth_date=birth))
    assert told in words(render(recording), "header")


@pytest.mark.parametrize(
    ("age_years", "told"), [(71.0, "(71 years)"), (0.5, "(6 months)"), (10 / 365.2425, "(10 days)")]
)
def test_stated_age_stands_in_for_the_date_of_birth(
    make_recording: MakeRecording, age_years: float, told: str
) -> None:
    recording = make_recording(patient=Patient(stated_age_years=age_years))
    assert f"date of birth not stated {told}" in words(render(recording), "header")


def test_settings_are_told(make_recording: MakeRecording) -> None:
    told = words(render(make_recording()), "footer")
    for fact in (
        "25 mm/s", "limb leads 10 mm/mV, chest leads 10 mm/mV", "high-pass 0.05 Hz",
        "low-pass 150 Hz", "mains filter 50 Hz", "100 samples/s", "resolution 1 µV",
        "leads recorded at the same time", "shows 0–10 s of 10 s, columns follow in time",
        "electrode placement standard", "order A-100", "recorder Example Cart",
        "serial number EX-1", "software 4.2", "file 3fa9c1d2e4b5", "Couchside 0.",
        "Couchside is not a medical device. It measures and checks; it does not diagnose.",
        "A clinician reads every ECG.",
    ):  # fmt: skip
        assert fact in told


def test_leads_at_different_times_are_told(make_recording: MakeRecording) -> None:
    samples = np.zeros((12, 1000))
    samples[:6, 500:] = np.nan
    samples[6:, :500] = np.nan
    told = words(render(make_recording(microvolts=samples)), "footer")
    assert "leads not all recorded at the same time" in told


def test_standard_page_has_no_banner(make_recording: MakeRecording) -> None:
    page = render(make_recording())
    assert "banner" not in {layer.name for layer in page.drawing.layers}


@pytest.mark.parametrize(
    ("changes", "asked", "told"),
    [
        ({"placement": Placement.TORSO}, {}, "limb electrodes on the torso"),
        ({"settings": AcquisitionSettings(low_pass_hz=40.0)}, {}, "low-pass 40 Hz"),
        ({"settings": AcquisitionSettings(high_pass_hz=0.5)}, {}, "high-pass 0.5 Hz"),
        ({}, {"speed_mm_per_s": 50}, "speed 50 mm/s"),
        ({}, {"gain_mm_per_mv": 20}, "gain 20 mm/mV"),
        ({}, {"chest_gain_mm_per_mv": 5}, "gain limb 10, chest 5 mm/mV"),
        (
            {"leads": ("MLII", "V5"), "microvolts": np.zeros((2, 1000))},
            {},
            "not twelve leads but 2",
        ),
        (
            {"leads": (*STANDARD_LEADS, "V7"), "microvolts": np.zeros((13, 1000))},
            {},
            "further leads V7",
        ),
    ],
)
def test_every_deviation_stands_in_the_banner(
    make_recording: MakeRecording, changes: dict[str, object], asked: dict[str, float], told: str
) -> None:
    banner = words(render(make_recording(**changes), **asked), "banner")  # type: ignore[arg-type]
    assert banner.startswith("NON-STANDARD")
    assert told in banner


def test_unchecked_recording_is_said_to_be_so(make_recording: MakeRecording) -> None:
    page = render(make_recording())
    assert "not checked" in words(page, "header")
    assert words(page, "report").count("not checked") == 2


@pytest.mark.parametrize("verdict", list(Verdict))
def test_verdict_is_a_word_and_a_shape(
    make_recording: MakeRecording, make_assessment: MakeAssessment, verdict: Verdict
) -> None:
    page = render(make_recording(), make_assessment("One thing.", verdict=verdict))
    header = next(layer for layer in page.drawing.layers if layer.name == "header")
    assert str(verdict) in words(page, "header").split("\n")
    assert "1 finding, checked by Couchside 0.1.0" in words(page, "header")
    assert any(getattr(mark, "ink", None) in {Ink.SHAPE, Ink.SHAPE_FILLED} for mark in header.marks)


def test_verdicts_differ_in_shape(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    shapes = set()
    for assessment in (None, *(make_assessment(verdict=verdict) for verdict in Verdict)):
        page = render(make_recording(), assessment)
        header = next(layer for layer in page.drawing.layers if layer.name == "header")
        outlines = [mark.points_mm.tobytes() for mark in header.marks if hasattr(mark, "points_mm")]
        shapes.add(b"".join(outlines))
    assert len(shapes) == 4


def test_measures_are_told_with_limits_and_standing(
    make_recording: MakeRecording, make_assessment: MakeAssessment, measures: Measures
) -> None:
    told = words(render(make_recording(), make_assessment(measures=measures)), "report")
    lines = told.split("\n")
    assert lines[lines.index("Heart rate") + 1 :][:2] == ["75/min", "no limits"]
    assert lines[lines.index("PR interval") + 1] == "not measurable ¹"
    assert "¹ no P wave" in lines
    bazett = lines.index("QTc Bazett")
    assert lines[bazett + 1 : bazett + 4] == ["480 ms", "350 to 450", "▲ above"]
    axis = lines.index("QRS axis")
    assert lines[axis + 1 : axis + 4] == ["−42°", "350 to 450", "▼ below"]
    assert "Limits: adults (Example2001)" in lines


def test_a_limit_that_was_not_checked_is_marked(
    make_recording: MakeRecording, make_assessment: MakeAssessment, measures: Measures
) -> None:
    limits = measures.get(MeasureName.QTC_BAZETT).limits
    assert limits is not None
    unsure = [
        replace(each, limits=replace(limits, trust=trust))
        for each, trust in zip(
            measures.values[4:6], (Trust.FROM_MEMORY, Trust.SECOND_HAND), strict=True
        )
    ]
    values = (*measures.values[:4], *unsure, *measures.values[6:])
    page = render(make_recording(), make_assessment(measures=Measures(values=values)))
    lines = words(page, "report").split("\n")
    assert lines.count("‡") == 2
    told = " ".join(lines)
    assert "adults (Example2001) ‡. ‡ limit not checked against its source" in told
    assert "memory" not in told
    assert "hand" not in told


def test_findings_that_fit_are_all_told(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    told = words(render(make_recording(), make_assessment("First.", "Second.")), "report")
    assert "First." in told
    assert "Second." in told
    assert "more" not in told


@pytest.mark.parametrize("count", [8, 9, 30])
def test_findings_that_do_not_fit_are_counted(
    make_recording: MakeRecording, make_assessment: MakeAssessment, count: int
) -> None:
    sentences = [f"Finding number {index}." for index in range(count)]
    told = words(render(make_recording(), make_assessment(*sentences)), "report")
    shown = sum(sentence in told.split("\n") for sentence in sentences)
    assert shown >= 6
    assert shown == count or f"and {count - shown} more, on the next page" in told.split("\n")


def test_no_findings_is_said(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    told = words(render(make_recording(), make_assessment()), "report").replace("\n", " ")
    assert "Nothing was noticed that speaks against reading it." in told


def test_remarks_stand_in_their_frame(make_recording: MakeRecording) -> None:
    page = render(make_recording(remarks=("Patient sat upright.", "Cast on the right arm.")))
    told = words(page, "report").replace("\n", " ")
    assert "Patient sat upright. / Cast on the right arm." in told
    report = next(layer for layer in page.drawing.layers if layer.name == "report")
    assert any(isinstance(mark, Rectangle) for mark in report.marks)


def test_control_characters_do_not_reach_the_page(make_recording: MakeRecording) -> None:
    patient = Patient(family_name="Line\nbreak\x00", given_name="<b>&", sex=Sex.OTHER)
    page = render(make_recording(patient=patient, remarks=("tab\there \ud800",)))
    assert "Line break , <b>&" in words(page, "header")
    assert b"&lt;b&gt;&amp;" in page.svg()
    assert page.pdf().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("name", "note"),
    [("山田", "stands for a character"), ("محمد", "printed unjoined"), ("Łoś", "")],
)
def test_what_print_cannot_show_is_said(
    make_recording: MakeRecording, name: str, note: str
) -> None:
    told = words(render(make_recording(patient=Patient(family_name=name))), "footer")
    notes = ("stands for a character", "printed unjoined")
    assert [text for text in notes if text in told] == ([note] if note else [])


def test_title_names_the_file_and_never_the_patient(make_recording: MakeRecording) -> None:
    drawing = render(make_recording()).drawing
    assert drawing.title == "ECG 3fa9c1d2e4b5"
    assert "Grzybowska" not in drawing.title + drawing.description
