"""Filters for the eye: exact gains, no shift in time, and nothing where nothing is asked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.recording import Recording
from couchside.simulate import get_scenario, simulate
from couchside.waves.view_filter import ViewFilter, filter_stretch, make_gain

RATE_HZ = 500.0
ALL = ViewFilter(high_pass_hz=0.5, low_pass_hz=40.0, notch_hz=50.0)


def make_sine(hz: float, *, seconds: float = 40.0) -> Recording:
    times_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    wave = 1000.0 * np.sin(2 * np.pi * hz * times_s)
    return Recording(leads=("II",), microvolts=wave[np.newaxis], rate_hz=RATE_HZ)


@pytest.mark.parametrize("hz", [0.25, 0.5, 1.0, 10.0, 40.0, 49.0, 51.0, 80.0])
@pytest.mark.parametrize(
    "wish",
    [
        ViewFilter(low_pass_hz=40.0),
        ViewFilter(high_pass_hz=0.5),
        ViewFilter(notch_hz=50.0),
        ALL,
    ],
)
def test_a_sine_keeps_its_phase_and_gets_its_gain(wish: ViewFilter, hz: float) -> None:
    recording = make_sine(hz)
    middle = slice(9000, 11000)
    shown = filter_stretch(recording, wish, middle.start, middle.stop)
    gain = make_gain(wish, np.array([hz]))[0]
    expected = gain * recording.microvolts[:, middle]
    assert shown == pytest.approx(expected, abs=5.0)


@pytest.mark.parametrize(
    ("wish", "hz"),
    [(ViewFilter(low_pass_hz=40.0), 40.0), (ViewFilter(high_pass_hz=0.5), 0.5)],
)
def test_half_the_power_is_left_at_the_corner(wish: ViewFilter, hz: float) -> None:
    assert make_gain(wish, np.array([hz]))[0] == pytest.approx(np.sqrt(0.5))


def test_the_notch_takes_its_middle_and_half_the_power_at_its_edges() -> None:
    edges = np.array([np.sqrt(2501.0) - 1.0, 50.0, np.sqrt(2501.0) + 1.0])
    gain = make_gain(ViewFilter(notch_hz=50.0), edges)
    assert gain == pytest.approx([np.sqrt(0.5), 0.0, np.sqrt(0.5)])


def test_nothing_asked_is_nothing_done() -> None:
    recording = make_sine(7.0)
    shown = filter_stretch(recording, ViewFilter(), 100, 200)
    assert (shown == recording.microvolts[:, 100:200]).all()
    assert ViewFilter().words == ""
    assert ALL.words == "high-pass 0.5 Hz, low-pass 40 Hz, notch 50 Hz"


def test_a_stretch_is_the_same_stretch_of_the_whole() -> None:
    scenario = replace(get_scenario("good"), duration_s=30.0)
    recording = simulate(scenario).recording
    whole = filter_stretch(recording, ALL, 0, recording.sample_count)
    first, last = round(10 * recording.rate_hz), round(20 * recording.rate_hz)
    part = filter_stretch(recording, ALL, first, last)
    assert part == pytest.approx(whole[:, first:last], abs=1.0)


def test_a_missing_sample_stays_missing_and_spoils_no_other() -> None:
    wave = make_sine(5.0).microvolts.copy()
    wave[0, 5000:5010] = np.nan
    recording = Recording(leads=("II",), microvolts=wave, rate_hz=RATE_HZ)
    shown = filter_stretch(recording, ALL, 4000, 6000)
    assert (np.isnan(shown) == np.isnan(wave[:, 4000:6000])).all()


@pytest.mark.parametrize("hz", [0.0, -1.0, 250.0, float("nan")])
def test_a_frequency_that_does_not_fit_is_said(hz: float) -> None:
    with pytest.raises(InvalidInput, match="does not fit"):
        filter_stretch(make_sine(5.0), ViewFilter(low_pass_hz=hz), 0, 100)
