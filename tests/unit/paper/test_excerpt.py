from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.paper import Page, excerpt
from couchside.paper.model import Polyline, Text
from couchside.recording import Recording

MakeRecording = Callable[..., Recording]


def words(page: Page) -> list[str]:
    return [
        mark.content
        for layer in page.drawing.layers
        for mark in layer.marks
        if isinstance(mark, Text)
    ]


@pytest.mark.parametrize(
    ("span", "told"),
    [
        ((4.0, 4.4), "2.6–5.6 s, marked 4.0–4.4 s"),
        ((0.0, 0.2), "0.0–3.0 s, marked 0.0–0.2 s"),
        ((9.9, 10.0), "7.0–10.0 s, marked 9.9–10.0 s"),
        ((2.0, 7.0), "1.4–7.6 s, marked 2.0–7.0 s"),
        ((-1.0, 99.0), "0.0–10.0 s, marked 0.0–10.0 s"),
    ],
)
def test_window_holds_the_span_with_room_around(
    make_recording: MakeRecording, span: tuple[float, float], told: str
) -> None:
    assert told in words(excerpt(make_recording(), ["V1"], span))


def test_span_too_long_for_the_strip_is_said_to_go_on(make_recording: MakeRecording) -> None:
    page = excerpt(make_recording(seconds=60.0), ["V1"], (20.0, 50.0))
    assert "19.4–29.4 s, marked 20.0–29.4 s and beyond" in words(page)
    assert page.drawing.width_mm == pytest.approx(1 + 15 + 250 + 1)


def test_short_recording_gives_a_short_strip(make_recording: MakeRecording) -> None:
    page = excerpt(make_recording(seconds=2.0), ["V1"], (1.0, 1.5))
    assert page.drawing.width_mm == pytest.approx(1 + 15 + 50 + 1)


def test_rows_are_as_high_as_their_traces_need(make_recording: MakeRecording) -> None:
    recording = make_recording(("I", "II"), microvolts=np.array([[0.0] * 999 + [3000.0]] * 2))
    low = excerpt(recording, ["I", "II"], (1.0, 2.0)).drawing.height_mm
    high = excerpt(recording, ["I", "II"], (9.0, 10.0)).drawing.height_mm
    assert high - low >= 2 * 15


def test_giant_deflection_is_marked_not_hidden(make_recording: MakeRecording) -> None:
    recording = make_recording(("I",), microvolts=np.array([[0.0] * 999 + [30_000.0]]))
    page = excerpt(recording, ["I"], (9.0, 10.0))
    assert page.drawing.height_mm < 60
    assert "I to +30.0 mV" in words(page)


def test_leads_stand_in_the_order_asked_for(make_recording: MakeRecording) -> None:
    page = excerpt(make_recording(), ["V3", "I"], (1.0, 2.0))
    traces = next(layer for layer in page.drawing.layers if layer.name == "traces")
    assert [mark.name for mark in traces.marks if isinstance(mark, Polyline)] == ["V3", "I"]
    assert page.svg().startswith(b"<svg")


@pytest.mark.parametrize("span", [(3.0, 3.0), (4.0, 3.0), (10.0, 12.0), (float("nan"), 2.0)])
def test_span_that_holds_nothing_is_refused(
    make_recording: MakeRecording, span: tuple[float, float]
) -> None:
    with pytest.raises(InvalidInput, match="holds nothing"):
        excerpt(make_recording(), ["V1"], span)


def test_lead_that_is_not_there_is_refused(make_recording: MakeRecording) -> None:
    with pytest.raises(InvalidInput, match="there is no lead V9"):
        excerpt(make_recording(), ["V9"], (1.0, 2.0))
    with pytest.raises(InvalidInput, match="name at least one lead"):
        excerpt(make_recording(), [], (1.0, 2.0))
