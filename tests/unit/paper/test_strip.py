"""The continuous strip: to scale, without a gap, with its beats, and paged."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader

from couchside.errors import InvalidInput
from couchside.measures.clock import format_clock
from couchside.paper import Page, render_strip
from couchside.paper.model import Polyline, Segments, Text
from couchside.recording import Recording
from couchside.waves.series import BeatSeries

MakeRecording = Callable[..., Recording]

BEAT_S = 0.8
"""The drawn recordings have a spike every 0.8 s, the first at 0.3 s."""


def _beats(seconds: float, begins_at_s: float = 0.0) -> BeatSeries:
    times_s = begins_at_s + np.arange(0.3, seconds, BEAT_S)
    return BeatSeries(
        times_s=times_s,
        groups=np.zeros(times_s.size, dtype=np.int64),
        qrs_ms=np.full(times_s.size, 90.0),
        rr_is_known=np.ones(times_s.size - 1, dtype=np.bool_),
    )


def _words(page: Page, layer: str) -> str:
    marks = [mark for item in page.drawing.layers if item.name == layer for mark in item.marks]
    return "\n".join(mark.content for mark in marks if isinstance(mark, Text))


def _traces(page: Page, lead: str) -> list[Polyline]:
    return [
        mark
        for item in page.drawing.layers
        if item.name == "traces"
        for mark in item.marks
        if isinstance(mark, Polyline) and mark.name == lead
    ]


def _peaks_mm(trace: Polyline) -> np.ndarray:
    """Where a drawn lead is at its highest on the page: its spikes."""
    heights = trace.points_mm[:, 1]
    peaks: np.ndarray = trace.points_mm[heights < heights.min() + 0.1, 0]
    return peaks


@pytest.mark.parametrize("speed", [25.0, 50.0])
def test_time_is_to_scale(speed: float, make_recording: MakeRecording) -> None:
    (page,) = render_strip(make_recording(), ["II"], 0, 10, speed_mm_per_s=speed).pages

    for trace in _traces(page, "II"):
        assert np.diff(_peaks_mm(trace)) == pytest.approx(BEAT_S * speed, abs=1e-6)


def test_amplitude_is_to_scale(make_recording: MakeRecording) -> None:
    (page,) = render_strip(make_recording(), ["V3"], 0, 10, gain_mm_per_mv=20).pages

    heights = _traces(page, "V3")[0].points_mm[:, 1]
    assert np.ptp(heights) == pytest.approx(0.9 * 20, abs=1e-6)  # lead 9 of 12 has 900 µV


def test_lines_follow_without_a_gap(make_recording: MakeRecording) -> None:
    recording = make_recording(seconds=60.0)
    pages = render_strip(recording, ["II", "V1", "V5"], 0, 60).pages

    drawn = sum(trace.points_mm.shape[0] for page in pages for trace in _traces(page, "V1"))
    lines = sum(len(_traces(page, "V1")) for page in pages)
    assert lines == 6
    assert drawn >= recording.sample_count
    assert drawn <= recording.sample_count + lines  # a line's last sample begins the next line


def test_every_page_names_person_settings_and_its_number(make_recording: MakeRecording) -> None:
    pages = render_strip(make_recording(seconds=60.0), ["II", "V1"], 0, 60).pages

    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        header = _words(page, "header")
        assert "Grzybowska, Zofia" in header
        assert f"page {number} of {len(pages)}" in header
        assert "25 mm/s" in _words(page, "footer")
        assert "not a medical device" in _words(page, "footer")


def test_all_pages_stand_in_one_pdf(make_recording: MakeRecording) -> None:
    strip = render_strip(make_recording(seconds=60.0), ["II"], 0, 60)

    reader = PdfReader(BytesIO(strip.pdf()))

    assert len(reader.pages) == len(strip.pages)
    assert float(reader.pages[0].mediabox.width) == pytest.approx(297 * 72 / 25.4, abs=0.01)


def test_beats_are_marked_where_they_are(make_recording: MakeRecording) -> None:
    (page,) = render_strip(make_recording(), ["II"], 0, 10, beats=_beats(10.0)).pages

    (strokes,) = [
        mark
        for item in page.drawing.layers
        if item.name == "beats"
        for mark in item.marks
        if isinstance(mark, Segments)
    ]
    assert strokes.points_mm[:, 0, 0] == pytest.approx(_peaks_mm(_traces(page, "II")[0]))
    assert _words(page, "beats").count("800") == 12
    assert "mean RR 800 ms (75/min)" in _words(page, "summary")


def test_stretch_of_a_long_recording_keeps_its_own_time(make_recording: MakeRecording) -> None:
    begins_at_s = 7200.0
    (page,) = render_strip(
        make_recording(seconds=20.0),
        ["II"],
        begins_at_s + 4,
        10,
        beats=_beats(20.0, begins_at_s),
        begins_at_s=begins_at_s,
        whole_s=86_400.0,
    ).pages

    assert "2:00:04" in _words(page, "beats")
    assert "shows 2:00:04 to 2:00:14 of 24:00:00" in _words(page, "footer")


def test_strip_is_cut_where_the_recording_ends(make_recording: MakeRecording) -> None:
    (page,) = render_strip(make_recording(), ["II"], 8, 60).pages

    assert "shows 0:08 to 0:10 of 0:10" in _words(page, "footer")
    assert _traces(page, "II")[0].points_mm.shape[0] == 200


def test_unknown_interval_is_not_written(make_recording: MakeRecording) -> None:
    known = _beats(10.0)
    unknown = np.zeros(known.rr_is_known.size, dtype=np.bool_)
    beats = BeatSeries(
        times_s=known.times_s, groups=known.groups, qrs_ms=known.qrs_ms, rr_is_known=unknown
    )

    (page,) = render_strip(make_recording(), ["II"], 0, 10, beats=beats).pages

    assert "800" not in _words(page, "beats")
    assert "not measurable" in _words(page, "summary")


@pytest.mark.parametrize(
    ("leads", "from_s", "seconds", "told"),
    [
        ([], 0, 10, "one to three"),
        (["I", "II", "III", "V1"], 0, 10, "one to three"),
        (["II", "II"], 0, 10, "named twice"),
        (["V9"], 0, 10, "no lead V9"),
        (["II"], 10, 10, "from 0:00 to 0:10"),
        (["II"], -1, 10, "from 0:00 to 0:10"),
        (["II"], 0, 0, "up to 3600 s"),
        (["II"], 0, 4000, "up to 3600 s"),
        (["II"], 0, float("nan"), "up to 3600 s"),
    ],
)
def test_what_cannot_be_drawn_is_refused(
    leads: list[str], from_s: float, seconds: float, told: str, make_recording: MakeRecording
) -> None:
    with pytest.raises(InvalidInput, match=told):
        render_strip(make_recording(), leads, from_s, seconds)


@pytest.mark.parametrize(
    ("seconds", "decimals", "words"),
    [(0, 0, "0:00"), (59.96, 1, "1:00.0"), (3600, 0, "1:00:00"), (10.04, 1, "0:10.0")],
)
def test_clock(seconds: float, decimals: int, words: str) -> None:
    assert format_clock(seconds, decimals) == words


def test_traces_that_would_meet_get_a_page_with_fewer_lines(make_recording: MakeRecording) -> None:
    """V1 down by 3 and V5 up by 3.5 mV in one beat need more than a line of the usual height."""
    samples = np.zeros((12, 30_000))
    spikes = slice(150, None, 400)
    samples[6, spikes], samples[10, spikes] = -3000.0, 3500.0
    tall = render_strip(make_recording(microvolts=samples), ("V1", "V5"), 0.0, 30.0)
    usual = render_strip(make_recording(microvolts=samples / 5.0), ("V1", "V5"), 0.0, 30.0)
    assert len(tall.pages) > len(usual.pages)
    down, up = (_traces(tall.pages[0], lead)[0].points_mm[:, 1] for lead in ("V1", "V5"))
    assert down.max() < up.min()
