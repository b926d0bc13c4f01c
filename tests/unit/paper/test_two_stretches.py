from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.paper import Page, Stretch, draw_two_stretches
from couchside.paper.model import Polyline, Text
from couchside.recording import Recording

MakeRecording = Callable[..., Recording]


def marks(page: Page, kind: type[Polyline | Text]) -> list[Polyline | Text]:
    return [mark for layer in page.drawing.layers for mark in layer.marks if isinstance(mark, kind)]


def words(page: Page) -> list[str]:
    return [mark.content for mark in marks(page, Text) if isinstance(mark, Text)]


def draw(upper: Recording, lower: Recording, leads: list[str], start_s: float = 2.0) -> Page:
    return draw_two_stretches(
        Stretch(recording=upper, name="1", start_s=start_s),
        Stretch(recording=lower, name="2", start_s=0.3),
        leads,
        length_s=4.0,
    )


def test_each_lead_stands_twice_the_upper_recording_above(make_recording: MakeRecording) -> None:
    page = draw(make_recording(("V1", "V2")), make_recording(("V2", "V1")), ["V2", "V1"])
    rows = {text.content: text.y_mm for text in marks(page, Text) if isinstance(text, Text)}
    named = [name for name in rows if ": V" in name]
    assert sorted(named, key=rows.__getitem__) == ["1: V2", "2: V2", "1: V1", "2: V1"]
    assert "1: 2.0–6.0 s · 2: 0.2–4.2 s" in words(page)
    assert "25 mm/s, 10 mm/mV" in words(page)
    assert page.drawing.width_mm == pytest.approx(1 + 15 + 100 + 1)


def test_both_are_drawn_to_one_scale_whatever_their_rates(make_recording: MakeRecording) -> None:
    """A step of 1 mV is 10 mm high and stands 25 mm after the start of the second it begins at."""

    def step(rate_hz: int) -> Recording:
        samples = np.zeros((1, 10 * rate_hz))
        samples[0, 3 * rate_hz : 3 * rate_hz + rate_hz // 2] = 1000.0
        return Recording(leads=("I",), microvolts=samples, rate_hz=float(rate_hz))

    page = draw_two_stretches(
        Stretch(recording=step(500), name="1", start_s=2.0),
        Stretch(recording=step(250), name="2", start_s=2.0),
        ["I"],
        length_s=4.0,
    )
    traces = [
        line.points_mm
        for line in marks(page, Polyline)
        if isinstance(line, Polyline) and len(line.points_mm) > 500
    ]
    assert len(traces) == 2
    for points in traces:
        assert np.ptp(points[:, 1]) == pytest.approx(10.0)
        risen = points[points[:, 1] < points[:, 1].max() - 5.0]
        assert risen[0, 0] == pytest.approx(1 + 15 + 25.0, abs=0.11)
        assert np.ptp(risen[:, 0]) == pytest.approx(12.5, abs=0.11)


def test_what_cannot_be_drawn_is_refused(make_recording: MakeRecording) -> None:
    one, other = make_recording(("V1",)), make_recording(("V2",))
    with pytest.raises(InvalidInput, match="name at least one"):
        draw(one, one, [])
    with pytest.raises(InvalidInput, match="V1"):
        draw(one, other, ["V1"])
    stretch = Stretch(recording=one, name="1", start_s=0.0)
    with pytest.raises(InvalidInput, match="up to 10 s"):
        draw_two_stretches(stretch, stretch, ["V1"], length_s=11.0)
