"""Calipers by mouse, finger and key read what was simulated, in the signal's own units."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.service import Desk, Source, receive
from couchside.simulate import Simulation, get_scenario, simulate

pytestmark = [pytest.mark.browser, pytest.mark.looks]

PX_PER_MM = 96 / 25.4
LEFT_MARGIN_MM = 12.0
SPEED_MM_S = 25.0

CALL = """async ([name, ...given]) => {
  const script = document.querySelector("script[src*='tracing.js']");
  const calipers = await import(script.src.replace("tracing.js", "calipers.js"));
  return calipers[name](...given);
}"""


class Site(Protocol):
    """A running Couchside."""

    desk: Desk


@pytest.fixture(scope="session")
def simulation() -> Simulation:
    """A recording whose beats are known because it was simulated."""
    return simulate(get_scenario("good"))


@pytest.fixture
def canvas(page: Page, site: Site, simulation: Simulation) -> Locator:
    """That recording's tracing at true size, one row a lead."""
    parcel = Parcel(
        files=(ArrivedFile(name="known.dcm", content=write_dicom(simulation.recording)),)
    )
    recording = receive(site.desk, parcel, source=Source.UPLOAD).recording
    assert recording is not None
    page.goto(f"/recordings/{recording.id}")
    drawn = page.locator("#tracing-canvas")
    expect(drawn).to_have_attribute("data-drawn", re.compile(r"\d"))
    page.locator("input[value='12x1']").check(force=True)
    page.get_by_role("button", name="True").click()
    expect(page.locator("#zoom-now")).to_have_text("100 %")
    drawn.scroll_into_view_if_needed()
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => done(0)))")
    return drawn


def test_an_interval_by_mouse_reads_the_simulated_rr(
    page: Page, canvas: Locator, simulation: Simulation
) -> None:
    first_s, second_s = find_two_beats(simulation)
    choose(page, "interval")
    drag(page, canvas, (px_of(first_s), 60.0), (px_of(second_s), 60.0))
    ms, per_min = read_interval(page)
    pixel_ms = 1000.0 / (SPEED_MM_S * PX_PER_MM)
    # each of the two lines is known to half a pixel, and the reading to half a millisecond
    assert ms == pytest.approx(1000.0 * (second_s - first_s), abs=pixel_ms + 1.0)
    assert per_min == pytest.approx(60_000.0 / ms, abs=0.6)
    expect(page.locator("#caliper-reading")).to_contain_text("By hand")


def test_keys_move_a_line_by_a_sample(page: Page, canvas: Locator, simulation: Simulation) -> None:
    canvas.focus()
    page.keyboard.press("c")
    page.keyboard.press("Enter")
    before, _ = read_interval(page)
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    after, _ = read_interval(page)
    sample_ms = 1000.0 / simulation.recording.rate_hz
    assert after - before == pytest.approx(15 * sample_ms, abs=1.0)
    page.keyboard.press("Space")
    page.keyboard.press("ArrowRight")
    assert read_interval(page)[0] == pytest.approx(after, abs=0.1), "both lines moved together"
    page.keyboard.press("Escape")
    expect(page.locator("#caliper-reading")).to_have_text("")


def test_an_amplitude_reads_millivolts_of_the_lead_it_is_on(page: Page, canvas: Locator) -> None:
    choose(page, "amplitude")
    drag(page, canvas, (300.0, 60.0), (300.0, 60.0 - 10.0 * PX_PER_MM))
    text = page.locator("#caliper-reading").text_content() or ""
    found = re.search(r"(\S+) ([−\d.]+) mV", text)
    assert found is not None
    assert found[1] == "I"
    assert float(found[2]) == pytest.approx(1.0, abs=0.02)


def test_a_set_line_is_taken_and_both_move_from_between(page: Page, canvas: Locator) -> None:
    choose(page, "interval")
    drag(page, canvas, (200.0, 60.0), (300.0, 60.0))
    first, _ = read_interval(page)
    drag(page, canvas, (250.0, 60.0), (330.0, 90.0))
    assert read_interval(page)[0] == pytest.approx(first, abs=0.1)
    drag(page, canvas, (380.0, 60.0), (430.0, 60.0))
    assert read_interval(page)[0] == pytest.approx(1.5 * first, abs=2.0)


def test_marching_draws_more_lines(page: Page, canvas: Locator) -> None:
    choose(page, "interval")
    drag(page, canvas, (200.0, 60.0), (300.0, 60.0))
    alone = count_hand_pixels(canvas)
    redrawn(canvas, lambda: page.locator("input[name=marching]").check(force=True))
    assert count_hand_pixels(canvas) > 1.3 * alone


def test_a_finger_sets_a_caliper_and_two_still_zoom(page: Page, canvas: Locator) -> None:
    choose(page, "interval")
    box = canvas.bounding_box()
    assert box is not None
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})

    def touch(kind: str, *places: float) -> None:
        points = [
            {"x": box["x"] + place, "y": box["y"] + 60, "id": number}
            for number, place in enumerate(places)
        ]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 200)
    for place in range(210, 301, 10):
        touch("touchMove", place)
    touch("touchEnd")
    expect(page.locator("#caliper-reading")).to_contain_text(" ms")
    assert read_interval(page)[0] == pytest.approx(100_000 / (SPEED_MM_S * PX_PER_MM), abs=25)
    touch("touchStart", 300, 340)
    for apart in range(0, 81, 10):
        touch("touchMove", 300 - apart, 340 + apart)
    touch("touchEnd")
    expect(page.locator("#zoom-now")).not_to_have_text("100 %")


@pytest.mark.usefixtures("canvas")
def test_marching_keeps_its_step_and_readings_are_exact(page: Page) -> None:
    caliper = {"kind": "interval", "ends": [3.2, 2.4], "lead": "II", "atS": 2.4}
    places = page.evaluate(CALL, ["march", caliper, 0.1, 5])
    assert places == pytest.approx([0.8, 1.6, 4.0, 4.8])
    close = {**caliper, "ends": [2.4, 2.45]}
    assert page.evaluate(CALL, ["march", close, 0.1, 5]) == []

    def read(name: str, **given: Any) -> Any:
        return page.evaluate(CALL, [name, {"lead": "V1", "atS": 1, **given}])

    assert read("writeReading", kind="interval", ends=[1.0, 1.0]) == "0 ms"
    assert read("writeReading", kind="interval", ends=[2.0, 1.25]) == "750 ms · 80 /min"
    assert read("writeReading", kind="amplitude", ends=[100, -400]) == "V1 −0.50 mV"


def test_a_drag_with_calipers_keeps_the_frame_rate(page: Page, canvas: Locator) -> None:
    """60 frames a second leave 16.7 ms for one; drawing may take at most most of it.

    What is timed is the drawing alone, the median of many; this machine has no graphics card.
    """
    choose(page, "interval")
    drag(page, canvas, (200.0, 60.0), (300.0, 60.0))
    page.locator("input[value='move'][name=hand]").check(force=True)
    canvas.evaluate(
        """(c) => { window.took = []; const own = window.requestAnimationFrame;
        window.requestAnimationFrame = (act) => own((now) => {
          const begun = performance.now(); act(now);
          window.took.push(performance.now() - begun); }); }"""
    )
    drag(page, canvas, (400.0, 100.0), (200.0, 60.0), steps=30)
    took_ms = page.evaluate("window.took")
    assert len(took_ms) >= 5
    assert float(np.median(took_ms)) < 16.7


def find_two_beats(simulation: Simulation) -> tuple[float, float]:
    """Where two simulated beats stand, in seconds."""
    beats_s = simulation.truth.beat_samples / simulation.recording.rate_hz
    return float(beats_s[2]), float(beats_s[3])


def px_of(seconds: float) -> float:
    return (LEFT_MARGIN_MM + SPEED_MM_S * seconds) * PX_PER_MM


def choose(page: Page, kind: str) -> None:
    page.locator(f"input[name=hand][value='{kind}']").check(force=True)


def drag(
    page: Page,
    canvas: Locator,
    start: tuple[float, float],
    end: tuple[float, float],
    *,
    steps: int = 4,
) -> None:
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + start[0], box["y"] + start[1])
    page.mouse.down()
    page.mouse.move(box["x"] + end[0], box["y"] + end[1], steps=steps)
    page.mouse.up()
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => done(0)))")


def read_interval(page: Page) -> tuple[float, float]:
    text = page.locator("#caliper-reading").text_content() or ""
    found = re.search(r"(\d+) ms · (\d+) /min", text)
    assert found is not None, text
    return float(found[1]), float(found[2])


def count_hand_pixels(canvas: Locator) -> int:
    return int(
        canvas.evaluate(
            """(c) => {
      const copy = new OffscreenCanvas(c.width, c.height);
      const context = copy.getContext("2d", { willReadFrequently: true });
      context.drawImage(c, 0, 0);
      const { data } = context.getImageData(0, 0, c.width, c.height);
      let count = 0;
      for (let at = 0; at < data.length; at += 4) {
        if (data[at] > data[at + 1] + 20 && data[at + 2] > data[at + 1] + 10) count += 1;
      }
      return count;
    }"""
        )
    )


def redrawn(canvas: Locator, act: Callable[[], object]) -> None:
    before = canvas.get_attribute("data-drawn")
    act()
    expect(canvas).not_to_have_attribute("data-drawn", before or "")
    canvas.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => done(0)))")
