"""What is to be told now stands on the page, in a band of its own, above everything measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from couchside.measures.tell_now import TellNow, TellNowItem
from couchside.paper import Page, render
from couchside.paper.model import Box, Rectangle, Text
from couchside.quality.model import Assessment
from couchside.recording import Recording

MakeRecording = Callable[..., Recording]
MakeAssessment = Callable[..., Assessment]


def _told(*values: str, is_example: bool = False) -> TellNow:
    items = tuple(
        TellNowItem(
            measure="heart_rate", told=told, value=31.0, unit="/min", leads=(), source="ours"
        )
        for told in values
    )
    return TellNow(protocol_title="Ours", is_example=is_example, items=items, not_judged=())


def _band(page: Page) -> tuple[str, Box | None]:
    marks = [mark for item in page.drawing.layers if item.name == "tell now" for mark in item.marks]
    boxes = [mark.box for mark in marks if isinstance(mark, Rectangle)]
    words = "\n".join(mark.content for mark in marks if isinstance(mark, Text))
    return words, boxes[0] if boxes else None


def test_value_and_call_stand_on_the_page(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    assessment = replace(make_assessment(), tell_now=_told("heart rate 31 /min (at most 35 /min)"))

    words, box = _band(render(make_recording(), assessment))

    assert "Show to a clinician now" in words
    assert "heart rate 31 /min" in words
    assert "Ours" in words
    assert box is not None


def test_example_values_are_called_so(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    assessment = replace(make_assessment(), tell_now=_told("heart rate 31 /min", is_example=True))

    assert "example values" in _band(render(make_recording(), assessment))[0]


def test_many_values_take_three_lines_at_most(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    told = _told(*(f"value {n} is 31 /min (local protocol: at most 35 /min)" for n in range(20)))

    page = render(make_recording(), replace(make_assessment(), tell_now=told))
    words, box = _band(page)

    assert box is not None
    assert box.height_mm < 16.0
    assert words.count("\n") <= 4
    assert "…" in words


def test_nothing_to_tell_takes_no_room(
    make_recording: MakeRecording, make_assessment: MakeAssessment
) -> None:
    without = render(make_recording(), make_assessment())
    with_empty = render(make_recording(), replace(make_assessment(), tell_now=_told()))

    assert _band(with_empty) == ("", None)
    assert with_empty.pdf() == without.pdf()
