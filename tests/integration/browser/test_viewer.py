"""The tracing on its canvas: it draws what was recorded, to scale, and moves when asked."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Protocol

import pytest
from playwright.sync_api import Locator, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Device
from couchside.service import Desk, Source, receive
from couchside.simulate import get_scenario, simulate

pytestmark = [pytest.mark.browser, pytest.mark.looks]

PX_PER_MM = 96 / 25.4
"""CSS fixes an inch at 96 pixels."""

READ_INK = """(canvas) => {
  const context = canvas.getContext("2d");
  const { data, width, height } = context.getImageData(0, 0, canvas.width, canvas.height);
  let ink = 0, right = 0;
  for (let at = 0; at < data.length; at += 4) {
    if (data[at] < 90 && data[at + 1] < 90 && data[at + 2] < 90) {
      ink += 1;
      right = Math.max(right, (at / 4) % width);
    }
  }
  return { ink, right: right / width, width, height };
}"""

FIND_GRID = """(canvas) => {
  const context = canvas.getContext("2d");
  const y = Math.round(canvas.height * 0.015);
  const { data, width } = context.getImageData(0, y, canvas.width, 1);
  const dark = [];
  for (let x = 0; x < width; x += 1) {
    if (data[4 * x] < 215) dark.push(x);
  }
  return dark;
}"""


FIND_MARK = """(canvas) => {
  const context = canvas.getContext("2d");
  const { data, width, height } = context.getImageData(0, 0, canvas.width, canvas.height);
  const paper = getComputedStyle(canvas).getPropertyValue("--trace-mark").trim();
  const [red, green, blue] = [1, 3, 5].map((at) => parseInt(paper.slice(at, at + 2), 16));
  const rows = [];
  for (let at = 0; at < data.length; at += 4) {
    if (data[at] === red && data[at + 1] === green && data[at + 2] === blue) {
      rows.push(Math.floor(at / 4 / width));
    }
  }
  const place = canvas.getBoundingClientRect();
  return [rows[0], rows[rows.length - 1]].map((row) => place.y + row / height * place.height);
}"""
"""From where to where the shade of a finding stands in the window."""


class Site(Protocol):
    """A running Couchside."""

    desk: Desk


@pytest.fixture
def canvas(page: Page) -> Locator:
    """The tracing of the recording with mains interference at V3, drawn."""
    page.goto("/round")
    page.locator(".row-person", has_text="V3 electrode").locator("a").click()
    drawn = page.locator("#tracing-canvas")
    expect(drawn).to_have_attribute("data-drawn", re.compile(r"\d"))
    drawn.scroll_into_view_if_needed()
    return drawn


def test_every_lead_is_drawn(page: Page, canvas: Locator) -> None:
    seen = canvas.evaluate(READ_INK)
    assert seen["ink"] > 5000
    assert seen["right"] > 0.95, "the traces reach the right edge"
    assert seen["width"] == canvas.evaluate("(c) => Math.round(c.clientWidth * devicePixelRatio)")


def test_at_true_size_five_millimetres_are_five_millimetres(page: Page, canvas: Locator) -> None:
    redrawn(canvas, lambda: page.get_by_role("button", name="True").click())
    expect(page.locator("#zoom-now")).to_have_text("100 %")
    lines = merge(canvas.evaluate(FIND_GRID))
    steps = [second - first for first, second in pairwise(lines)]
    assert len(steps) > 30
    # the middle of a line is known to a pixel, so thirty steps are known to two
    mean_mm = (lines[30] - lines[0]) / 30 / PX_PER_MM
    assert mean_mm == pytest.approx(5.0, abs=2 / 30 / PX_PER_MM)


def test_it_zooms_by_key_button_and_wheel(page: Page, canvas: Locator) -> None:
    zoom = page.locator("#zoom-now")
    fitted = percent(zoom)
    canvas.focus()
    redrawn(canvas, lambda: page.keyboard.press("+"))
    assert percent(zoom) == pytest.approx(1.25 * fitted, abs=1)
    redrawn(canvas, lambda: page.get_by_role("button", name="Smaller").click())
    assert percent(zoom) == pytest.approx(fitted, abs=1)
    canvas.hover()
    page.keyboard.down("Control")
    redrawn(canvas, lambda: page.mouse.wheel(0, -300))
    page.keyboard.up("Control")
    assert percent(zoom) > 1.5 * fitted
    canvas.focus()
    redrawn(canvas, lambda: page.keyboard.press("0"))
    assert percent(zoom) == fitted


def test_it_moves_when_dragged(page: Page, canvas: Locator) -> None:
    canvas.focus()
    for _ in range(4):
        redrawn(canvas, lambda: page.keyboard.press("+"))
    before = picture(canvas)
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 400, box["y"] + 100)
    page.mouse.down()
    redrawn(canvas, lambda: page.mouse.move(box["x"] + 200, box["y"] + 100, steps=4))
    page.mouse.up()
    moved = picture(canvas)
    assert moved != before
    redrawn(canvas, lambda: page.keyboard.press("ArrowLeft"))
    assert picture(canvas) != moved


def test_it_is_laid_out_as_chosen(page: Page, canvas: Locator) -> None:
    seen = {picture(canvas)}
    for group, choice, state in (
        ("layout", "12x1", "25 mm/s · 10 mm/mV"),
        ("layout", "6x2", "25 mm/s · 10 mm/mV"),
        ("gain", "20", "25 mm/s · 20 mm/mV"),
        ("speed", "50", "50 mm/s · 20 mm/mV"),
    ):
        chosen = page.locator(f"input[name={group}][value='{choice}']")
        redrawn(canvas, lambda chosen=chosen: chosen.check(force=True))  # type: ignore[misc]
        expect(page.locator("#tracing-state")).to_have_text(state)
        seen.add(picture(canvas))
    assert len(seen) == 5


def test_the_printed_page_follows_the_layout(page: Page, canvas: Locator) -> None:
    redrawn(canvas, lambda: page.locator("input[value='6x2']").check(force=True))
    expect(page.locator("#pdf")).to_have_attribute("href", re.compile(r"layout=6x2$"))


def test_a_finding_is_shown_where_it_is(page: Page, canvas: Locator) -> None:
    before = picture(canvas)
    redrawn(canvas, page.get_by_text("Show in the tracing").first.click)
    assert picture(canvas) != before


@pytest.mark.parametrize("layout", ["3x4", "6x2", "12x1"])
def test_a_marked_lead_comes_into_view(page: Page, canvas: Locator, layout: str) -> None:
    page.locator(f"input[value='{layout}']").check(force=True)
    redrawn(canvas, page.get_by_text("Show in the tracing").first.click)
    page.wait_for_timeout(300)
    top, bottom = canvas.evaluate(FIND_MARK)
    assert 0 <= top < bottom <= page.evaluate("innerHeight")
    assert bottom - top > 20, "most of the marked row is seen"


def test_two_fingers_zoom(page: Page, canvas: Locator) -> None:
    fitted = percent(page.locator("#zoom-now"))
    box = canvas.bounding_box()
    assert box is not None
    x, y = box["x"] + 300, box["y"] + 100
    session = page.context.new_cdp_session(page)

    def touch(kind: str, apart: float) -> None:
        points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        touched = points if kind != "touchEnd" else []
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touched})

    session.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
    touch("touchStart", 40)
    for apart in range(45, 121, 5):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    expect(page.locator("#zoom-now")).not_to_have_text(f"{fitted} %")
    assert percent(page.locator("#zoom-now")) > 1.5 * fitted


LAY_OUT = """async ([leads, durationS, layout]) => {
  const script = document.querySelector("script[src*='tracing.js']");
  const { layOut } = await import(script.src.replace("tracing.js", "sheet.js"));
  const usual = { limbOrder: "standard", stripLeads: [], speedMmS: 25, gainMmMv: 10 };
  const choice = { ...usual, layout, startS: 0 };
  return layOut(leads, durationS, choice, leads.map(() => ({ upMm: 0, downMm: 0 })));
}"""
TWELVE = ["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"]


AS_ON_PAPER: list[tuple[list[str], int, str, list[list[str]]]] = [
    (TWELVE, 10, "3x4", [["I", "aVR", "V1", "V4"], ["II", "aVL", "V2", "V5"],
                         ["III", "aVF", "V3", "V6"], ["II"]]),
    (TWELVE, 10, "6x2", [[TWELVE[at], TWELVE[at + 6]] for at in range(6)]),
    (TWELVE, 10, "12x1", [[lead] for lead in TWELVE]),
    (TWELVE[::-1], 10, "12x1", [[lead] for lead in TWELVE]),
    (["V1"], 4, "3x4", [["V1"]]),
    (["X", "II"], 10, "3x4", [["II", "X"]]),
    ([*TWELVE, "V7", "V8", "V9"], 10, "3x4",
     [["I", "aVL", "V3", "V7"], ["II", "aVF", "V4", "V8"], ["III", "V1", "V5", "V9"],
      ["aVR", "V2", "V6"], ["II"]]),
]  # fmt: skip
"""Leads, seconds and layout of a recording, and the rows in which its leads stand."""


@pytest.mark.usefixtures("canvas")
def test_leads_stand_as_on_paper(page: Page) -> None:
    for leads, duration_s, layout, rows in AS_ON_PAPER:
        sheet = page.evaluate(LAY_OUT, [leads, duration_s, layout])
        stood: dict[float, list[str]] = {}
        for panel in sheet["panels"]:
            stood.setdefault(panel["baselineMm"], []).append(panel["name"])
            assert panel["startS"] == pytest.approx((panel["leftMm"] - 12) / 25)
        assert [stood[baseline] for baseline in sorted(stood)] == rows, (leads, layout)
        ends = {panel["leftMm"] + panel["widthMm"] for panel in sheet["panels"]}
        assert max(ends) == pytest.approx(12 + 25 * duration_s)


def test_a_long_recording_is_leafed_through(page: Page, site: Site) -> None:
    scenario = replace(get_scenario("good"), duration_s=24.0)
    content = write_dicom(replace(simulate(scenario).recording, device=Device(model="Simulated")))
    parcel = Parcel(files=(ArrivedFile(name="long.dcm", content=content),))
    recording = receive(site.desk, parcel, source=Source.UPLOAD).recording
    assert recording is not None
    page.goto(f"/recordings/{recording.id}")
    drawn = page.locator("#tracing-canvas")
    expect(drawn).to_have_attribute("data-drawn", re.compile(r"\d"))
    drawn.focus()
    stretch = page.locator("#stretch-now")
    expect(stretch).to_have_text("0–10 s")
    for key, seconds in (("PageDown", "10–20 s"), ("PageDown", "20–24 s"), ("PageDown", "20–24 s"),
                         ("PageUp", "10–20 s")):  # fmt: skip
        page.keyboard.press(key)
        expect(stretch).to_have_text(seconds)


def redrawn(canvas: Locator, act: Callable[[], object]) -> None:
    """Do something, and wait until the canvas has been drawn again."""
    before = canvas.get_attribute("data-drawn")
    act()
    expect(canvas).not_to_have_attribute("data-drawn", before or "")
    canvas.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => done(0)))")


def picture(canvas: Locator) -> str:
    return str(canvas.evaluate("(c) => c.toDataURL()"))


def percent(zoom: Locator) -> int:
    return int((zoom.text_content() or "").removesuffix(" %"))


def merge(pixels: list[int]) -> list[float]:
    """The middles of runs of neighbouring pixels."""
    runs: list[list[int]] = []
    for pixel in pixels:
        if runs and pixel - runs[-1][-1] <= 1:
            runs[-1].append(pixel)
        else:
            runs.append([pixel])
    return [(run[0] + run[-1]) / 2 for run in runs]
