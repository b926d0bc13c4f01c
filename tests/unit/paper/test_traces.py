from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from couchside.paper.layouts import Strip
from couchside.paper.model import Box, Layer, Polyline, Text
from couchside.paper.rows import Rows
from couchside.paper.sizes import Gains
from couchside.paper.traces import NOTE_SIZE_MM, make_traces
from couchside.recording import Recording

MakeRecording = Callable[..., Recording]
GAINS = Gains(limb_mm_per_mv=10.0, chest_mm_per_mv=10.0)
ROWS = Rows(
    box=Box(left_mm=10.0, top_mm=50.0, width_mm=265.0, height_mm=60.0),
    zone_mm=15.0,
    baselines_mm=(80.0,),
    column_count=1,
    speed_mm_per_s=25.0,
    label_rise_mm=11.0,
)


def strip(lead: str = "I", *, is_recorded: bool = True) -> Strip:
    return Strip(
        lead=lead,
        label=lead,
        row=0,
        column=0,
        column_span=1,
        start_s=0.0,
        length_s=10.0,
        is_recorded=is_recorded,
    )


def draw(recording: Recording, place: Strip) -> tuple[Layer, Layer, Layer]:
    plates, traces, labels = make_traces(recording, (place,), ROWS, GAINS)
    return plates, traces, labels


def words_in(layer: Layer) -> list[str]:
    return [mark.content for mark in layer.marks if isinstance(mark, Text)]


def lines_in(layer: Layer) -> list[Polyline]:
    return [mark for mark in layer.marks if isinstance(mark, Polyline)]


def test_every_sample_is_drawn_where_it_belongs(make_recording: MakeRecording) -> None:
    samples = np.random.default_rng(5).normal(0.0, 300.0, 1000)
    recording = make_recording(("I",), microvolts=samples[np.newaxis])
    (trace,) = lines_in(draw(recording, strip())[1])
    np.testing.assert_allclose(trace.points_mm[:, 0], 25.0 + np.arange(1000) * 0.25)
    expected = 80.0 - (samples - np.median(samples)) / 100.0
    np.testing.assert_allclose(trace.points_mm[:, 1], expected)


def test_an_offset_moves_the_trace_to_its_row(make_recording: MakeRecording) -> None:
    samples = np.full((1, 1000), 250_000.0)
    (trace,) = lines_in(draw(make_recording(("I",), microvolts=samples), strip())[1])
    np.testing.assert_array_equal(trace.points_mm[:, 1], 80.0)


def test_missing_samples_break_the_line(make_recording: MakeRecording) -> None:
    samples = np.zeros((1, 1000))
    samples[0, 100:200] = np.nan
    samples[0, 205] = np.nan
    _, traces, labels = draw(make_recording(("I",), microvolts=samples), strip())
    assert [len(line.points_mm) for line in lines_in(traces)] == [100, 5, 794]
    assert words_in(labels) == ["I", "no samples"]


def test_single_sample_becomes_a_dot(make_recording: MakeRecording) -> None:
    samples = np.full((1, 1000), np.nan)
    samples[0, 400] = 50.0
    (dot,) = lines_in(draw(make_recording(("I",), microvolts=samples), strip())[1])
    np.testing.assert_array_equal(dot.points_mm, [[125.0, 80.0], [125.0, 80.0]])


def test_lead_without_any_sample_says_so(make_recording: MakeRecording) -> None:
    samples = np.full((1, 1000), np.nan)
    _, traces, labels = draw(make_recording(("I",), microvolts=samples), strip())
    assert lines_in(traces) == []
    assert words_in(labels) == ["I", "no samples"]


def test_lead_that_was_not_recorded_says_so(make_recording: MakeRecording) -> None:
    _, traces, labels = draw(make_recording(("II",)), strip(is_recorded=False))
    assert lines_in(traces) == []
    assert words_in(labels) == ["I", "not recorded"]


@pytest.mark.parametrize(
    ("height_uv", "edge_mm", "words"),
    [(5000.0, 50.0, "I to +5.0 mV"), (-7340.0, 110.0, "I to −7.3 mV")],
)
def test_trace_that_leaves_the_plot_is_true_and_marked(
    make_recording: MakeRecording, height_uv: float, edge_mm: float, words: str
) -> None:
    samples = np.zeros((1, 1000))
    samples[0, 500] = height_uv
    _, traces, labels = draw(make_recording(("I",), microvolts=samples), strip())
    (trace,) = lines_in(traces)
    assert trace.points_mm[500, 1] == pytest.approx(80.0 - height_uv / 100.0)
    assert traces.clip == ROWS.box
    (arrow,) = lines_in(labels)
    np.testing.assert_array_equal(arrow.points_mm[0], [150.0, edge_mm])
    assert words_in(labels) == ["I", words]


def test_words_beside_an_arrow_stay_in_the_plot(make_recording: MakeRecording) -> None:
    samples = np.zeros((1, 1000))
    samples[0, 995] = 5000.0
    labels = draw(make_recording(("I",), microvolts=samples), strip())[2]
    text = next(mark for mark in labels.marks if isinstance(mark, Text) and "to" in mark.content)
    assert text.anchor == "end"
    assert text.x_mm < ROWS.box.right_mm


def test_values_of_two_traces_that_leave_together_stand_apart(
    make_recording: MakeRecording,
) -> None:
    samples = np.zeros((2, 1000))
    samples[:, 500] = (5000.0, 6000.0)
    recording = make_recording(("I", "II"), microvolts=samples)
    labels = make_traces(recording, (strip("I"), strip("II")), ROWS, GAINS)[2]
    first, second = (
        mark for mark in labels.marks if isinstance(mark, Text) and "mV" in mark.content
    )
    assert first.x_mm == second.x_mm
    assert second.y_mm - first.y_mm > NOTE_SIZE_MM


def test_strip_behind_the_end_is_empty(make_recording: MakeRecording) -> None:
    recording = make_recording(("I",), seconds=3.0)
    late = Strip(
        lead="I", label="I", row=0, column=0, column_span=1, start_s=7.5, length_s=2.5,
        is_recorded=True,
    )  # fmt: skip
    assert lines_in(draw(recording, late)[1]) == []
