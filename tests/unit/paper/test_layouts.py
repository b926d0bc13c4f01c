from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside.paper.layouts import Arrangement, arrange, is_chest_lead
from couchside.paper.sizes import Gains, Layout, LimbOrder, PaperSize, PrintSettings
from couchside.recording import STANDARD_LEADS, Placement, Recording

MakeRecording = Callable[..., Recording]
ROW_S = 10.0


def settings(layout: str, order: str = "standard", start_s: float = 0.0) -> PrintSettings:
    return PrintSettings(
        layout=Layout(layout),
        paper=PaperSize.A4,
        speed_mm_per_s=25.0,
        gains=Gains(limb_mm_per_mv=10.0, chest_mm_per_mv=10.0),
        limb_order=LimbOrder(order),
        start_s=start_s,
    )


def labels_by_row(arrangement: Arrangement) -> list[list[str]]:
    rows: list[list[str]] = [[] for _ in range(arrangement.row_count)]
    for strip in arrangement.strips:
        rows[strip.row].append(strip.label)
    return rows


def test_three_by_four_with_one_rhythm_strip(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(), settings("3x4+1"), ROW_S)
    assert labels_by_row(arrangement) == [
        ["I", "aVR", "V1", "V4"],
        ["II", "aVL", "V2", "V5"],
        ["III", "aVF", "V3", "V6"],
        ["II"],
    ]
    assert arrangement.columns_follow_in_time
    assert [strip.start_s for strip in arrangement.strips[:4]] == [0.0, 2.5, 5.0, 7.5]
    assert arrangement.strips[-1].length_s == 10.0
    assert arrangement.strips[-1].column_span == 4


def test_rhythm_strips_take_what_was_recorded(make_recording: MakeRecording) -> None:
    leads = tuple(lead for lead in STANDARD_LEADS if lead not in {"II", "V5"})
    arrangement = arrange(make_recording(leads), settings("3x4+3"), ROW_S)
    assert labels_by_row(arrangement)[3:] == [["V1"], ["I"], ["III"]]


def test_cabrera_order_inverts_avr(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(), settings("6x2", "Cabrera"), ROW_S)
    assert [row[0] for row in labels_by_row(arrangement)] == [
        "aVL", "I", "−aVR", "II", "aVF", "III",
    ]  # fmt: skip
    assert [strip.lead for strip in arrangement.strips if strip.is_inverted] == ["aVR"]


def test_missing_leads_keep_their_place(make_recording: MakeRecording) -> None:
    leads = tuple(lead for lead in STANDARD_LEADS if lead != "V2")
    arrangement = arrange(make_recording(leads), settings("3x4+1"), ROW_S)
    (empty,) = [strip for strip in arrangement.strips if not strip.is_recorded]
    assert (empty.lead, empty.row, empty.column) == ("V2", 1, 2)


def test_placement_names_the_chest_leads(make_recording: MakeRecording) -> None:
    leads = ("I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3R", "V4R", "V5R", "V6R")
    recording = make_recording(leads, placement=Placement.RIGHT_SIDED)
    arrangement = arrange(recording, settings("3x4+1"), ROW_S)
    assert all(strip.is_recorded for strip in arrangement.strips)
    assert arrangement.column_count == 4


def test_further_leads_get_further_columns(make_recording: MakeRecording) -> None:
    leads = (*STANDARD_LEADS, "V7", "V8", "V9", "X", "Y", "Z")
    arrangement = arrange(make_recording(leads), settings("3x4+1"), ROW_S)
    assert labels_by_row(arrangement)[0] == ["I", "aVR", "V1", "V4", "V7", "X"]
    assert arrangement.strips[1].start_s == pytest.approx(10 / 6)


def test_few_leads_stand_alone(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(("MLII", "V5")), settings("3x4+1"), ROW_S)
    assert labels_by_row(arrangement) == [["MLII"], ["V5"]]


@pytest.mark.parametrize("count", range(1, 19))
@pytest.mark.parametrize("layout", list(Layout))
def test_every_lead_is_shown_whatever_their_number(
    make_recording: MakeRecording, layout: Layout, count: int
) -> None:
    leads = (*STANDARD_LEADS, "V7", "V8", "V9", "V3R", "V4R", "V5R")[:count]
    arrangement = arrange(make_recording(leads), settings(layout), ROW_S)
    shown = [strip.lead for strip in arrangement.strips if strip.is_recorded]
    assert set(shown) == set(leads)
    places = [(strip.row, strip.column) for strip in arrangement.strips]
    assert len(set(places)) == len(places)


def test_short_recording_begins_anew_in_every_column(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(seconds=5.0), settings("3x4+1"), ROW_S)
    assert not arrangement.columns_follow_in_time
    assert {strip.start_s for strip in arrangement.strips} == {0.0}
    assert arrangement.shown_s == (0.0, 5.0)


def test_last_column_may_be_half_empty(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(seconds=8.8), settings("3x4+1"), ROW_S)
    assert arrangement.columns_follow_in_time
    assert arrangement.shown_s == (0.0, 8.8)


def test_page_may_begin_later(make_recording: MakeRecording) -> None:
    arrangement = arrange(make_recording(seconds=30.0), settings("3x4+1", start_s=12.0), ROW_S)
    assert arrangement.shown_s == (12.0, 22.0)
    assert arrangement.strips[1].start_s == 14.5


@pytest.mark.parametrize(
    ("lead", "expected"),
    [("V1", True), ("V4R", True), ("V9", True), ("aVR", False), ("II", False), ("X", False)],
)
def test_chest_leads_are_told_by_name(lead: str, *, expected: bool) -> None:
    assert is_chest_lead(lead) is expected
