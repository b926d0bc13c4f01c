"""Beats side by side to one scale, and a measure against the date."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.paper import DatedBeat, TrendPoint, draw_beats_over_time, draw_trend
from couchside.paper.model import Polyline, Segments, Text
from couchside.paper.page import Page
from couchside.simulate import get_scenario, simulate
from couchside.waves.delineate import delineate

_DAY = datetime(2026, 3, 4, 8, tzinfo=UTC)


def lines(page: Page, layer_name: str) -> list[Polyline]:
    (layer,) = (each for each in page.drawing.layers if each.name == layer_name)
    return [mark for mark in layer.marks if isinstance(mark, Polyline)]


def words(page: Page) -> list[str]:
    marks = [mark for layer in page.drawing.layers for mark in layer.marks]
    return [mark.content for mark in marks if isinstance(mark, Text)]


def test_a_millivolt_is_as_high_in_every_column() -> None:
    beat = delineate(simulate(get_scenario("good")).recording).representative
    assert beat is not None
    dated = [DatedBeat(caption="then", beat=beat), DatedBeat(caption="now", beat=beat)]
    page = draw_beats_over_time(dated, leads=("II",))
    then, now = (line.points_mm for line in lines(page, "beats"))
    assert np.allclose(then[:, 1], now[:, 1])
    assert np.allclose(now[:, 0] - then[:, 0], 30.0)
    drawn_mm = np.ptp(then[:, 1])
    assert drawn_mm == pytest.approx(
        np.ptp(beat.microvolts[beat.leads.index("II")]) / 100, rel=0.02
    )


def test_a_recording_without_a_beat_leaves_its_place_and_says_so() -> None:
    page = draw_beats_over_time([DatedBeat(caption="then", beat=None)])
    assert lines(page, "beats") == []
    assert "no beat" in words(page)
    with pytest.raises(InvalidInput, match="no recording to draw"):
        draw_beats_over_time([])


def point(
    day: int, value: float, half_width: float | None = 10.0, *, kept: bool = True
) -> TrendPoint:
    return TrendPoint(
        at=_DAY + timedelta(days=day), value=value, half_width=half_width, is_kept=kept
    )


def test_marks_stand_at_their_day_and_value() -> None:
    page = draw_trend([point(10, 440.0), point(0, 400.0), point(5, 420.0)], name="QT", unit="ms")
    line, *marks = (each.points_mm for each in lines(page, "trend"))
    assert np.allclose(line[1], line[[0, 2]].mean(axis=0))
    assert np.allclose([mark[:-1].mean(axis=0) for mark in marks], line)
    assert line[2, 1] < line[0, 1]


def test_the_half_width_is_to_the_same_scale() -> None:
    page = draw_trend([point(0, 400.0), point(1, 420.0)], name="QT", unit="ms")
    (widths,) = (
        mark
        for layer in page.drawing.layers
        if layer.name == "trend"
        for mark in layer.marks
        if isinstance(mark, Segments)
    )
    line = lines(page, "trend")[0].points_mm
    per_ms = abs(line[1, 1] - line[0, 1]) / 20.0
    assert np.ptp(widths.points_mm[0, :, 1]) == pytest.approx(20.0 * per_ms)


def test_what_was_not_kept_is_hollow_and_off_the_line() -> None:
    points = [point(0, 400.0), point(1, 900.0, kept=False), point(2, 410.0)]
    line, *marks = lines(draw_trend(points, name="QT", unit="ms"), "trend")
    assert line.points_mm.shape == (2, 2)
    assert len({mark.ink for mark in marks}) == 2


@pytest.mark.parametrize("value", [0.0, -30.0, 72.0, 1e6])
def test_one_point_is_drawn_within_the_plot(value: float) -> None:
    page = draw_trend([point(0, value, None)], name="rate", unit="/min")
    (mark,) = lines(page, "trend")
    assert 7.0 < mark.points_mm[:, 1].mean() < 35.0
    with pytest.raises(InvalidInput, match="nothing to draw"):
        draw_trend([], name="rate", unit="/min")
