"""Strip and Cabrera order on the screen, prints that follow, and a screen measured by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Protocol
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Locator, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Device
from couchside.service import Desk, Source, receive
from couchside.simulate import get_scenario, simulate

pytestmark = [pytest.mark.browser, pytest.mark.looks]

CARD_MM = 85.6
"""Width of an ID-1 card [ISO7810]."""

LAY_OUT = """async ([leads, choice]) => {
  const script = document.querySelector("script[src*='tracing.js']");
  const { layOut } = await import(script.src.replace("tracing.js", "sheet.js"));
  const given = { limbOrder: "standard", stripLeads: [], speedMmS: 25, gainMmMv: 10, startS: 0 };
  return layOut(leads, 10, { ...given, ...choice }, leads.map(() => ({ upMm: 0, downMm: 0 })));
}"""
TWELVE = ["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"]

FIND_GRID = """(canvas) => {
  const context = canvas.getContext("2d");
  const { data, width } = context.getImageData(0, 8, canvas.width, 1);
  return [...Array(width).keys()].filter((x) => data[4 * x] < 215);
}"""


class Site(Protocol):
    """A running Couchside."""

    desk: Desk


def open_tracing(page: Page, address: str) -> Locator:
    page.goto(address)
    canvas = page.locator("#tracing-canvas")
    expect(canvas).to_have_attribute("data-drawn", re.compile(r"\d"))
    return canvas


def asked(page: Page, link: str = "#pdf") -> tuple[str, dict[str, list[str]]]:
    """Path and query of a link to a printed page."""
    parts = urlsplit(page.locator(link).get_attribute("href") or "")
    return parts.path, parse_qs(parts.query)


def redrawn(canvas: Locator, act: Callable[[], object]) -> None:
    before = canvas.get_attribute("data-drawn")
    act()
    expect(canvas).not_to_have_attribute("data-drawn", before or "")


def test_the_order_of_cabrera_is_shown_and_printed(page: Page) -> None:
    canvas = open_tracing(page, "/recordings/3")
    page.locator(".more-tools summary").click()
    redrawn(canvas, lambda: page.locator("input[value=Cabrera]").check(force=True))
    path, query = asked(page)
    assert (path, query) == (
        "/recordings/3/page.pdf",
        {"layout": ["3x4+1"], "limb_order": ["Cabrera"]},
    )
    assert page.request.get(path, params={"limb_order": "Cabrera"}).ok
    wrong = page.request.get(path, params={"limb_order": "sideways"})
    assert wrong.status == 422
    sheet = page.evaluate(LAY_OUT, [TWELVE, {"layout": "12x1", "limbOrder": "Cabrera"}])
    shown = [(panel["label"], panel["sign"]) for panel in sheet["panels"]]
    # aVL, I, −aVR, II, aVF, III: the frontal plane from −30 to 120 degrees [AHA2007-I]
    assert shown[:6] == [("aVL", 1), ("I", 1), ("−aVR", -1), ("II", 1), ("aVF", 1), ("III", 1)]
    assert [label for label, _ in shown[6:]] == TWELVE[6:]


def test_a_strip_rolls_through_a_long_recording(page: Page, site: Site) -> None:
    scenario = replace(get_scenario("good"), duration_s=65.0)
    content = write_dicom(replace(simulate(scenario).recording, device=Device(model="Simulated")))
    parcel = Parcel(files=(ArrivedFile(name="long.dcm", content=content),))
    recording = receive(site.desk, parcel, source=Source.UPLOAD).recording
    assert recording is not None
    canvas = open_tracing(page, f"/recordings/{recording.id}")
    fetched: list[str] = []
    page.on("request", lambda request: fetched.append(request.url))
    redrawn(canvas, lambda: page.locator("input[value=strip]").check(force=True))
    boxes = page.locator("input[name=strip_lead]")
    assert boxes.evaluate_all("all => all.filter((e) => e.checked).map((e) => e.value)") == [
        "II", "V1", "V5",
    ]  # fmt: skip
    expect(page.locator("input[name=strip_lead][value=I]")).to_be_disabled()
    page.locator("input[name=strip_lead][value=V1]").uncheck(force=True)
    expect(page.locator("input[name=strip_lead][value=I]")).to_be_enabled()
    canvas.focus()
    stretch = page.locator("#stretch-now")
    seen_s = [seconds(stretch)]
    while seen_s[-1][1] < 65 and len(seen_s) < 60:
        for _ in range(4):
            page.keyboard.press("ArrowRight")
        page.wait_for_timeout(30)
        seen_s.append(seconds(stretch))
    assert seen_s[-1][1] == 65
    assert sum("samples" in url for url in fetched) >= 3
    steps = [after[0] - before[0] for before, after in pairwise(seen_s)]
    assert all(0 <= step <= 5 for step in steps), "nothing is jumped over when the sheet changes"
    path, query = asked(page)
    assert path == f"/recordings/{recording.id}/strip.pdf"
    assert query["lead"] == ["II", "V5"]
    assert float(query["from_s"][0]) + float(query["seconds"][0]) == pytest.approx(65, abs=0.3)
    assert page.request.get(page.locator("#svg").get_attribute("href") or "").ok
    page.keyboard.press("PageUp")
    expect(stretch).not_to_have_text(re.compile(r"65 s"))


def test_a_measured_screen_makes_true_size_true_and_is_remembered(page: Page) -> None:
    open_tracing(page, "/recordings/3")
    state = page.locator("#screen-state")
    expect(state).to_contain_text("not measured")
    page.locator("#measure-screen summary").click()
    page.locator("#screen-slider").focus()
    page.keyboard.press("ArrowRight")
    page.locator("#screen-slider").evaluate(
        "(e) => { e.value = 5; e.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    box = page.locator("#screen-outline").bounding_box()
    assert box is not None
    assert box["width"] == pytest.approx(CARD_MM * 5, abs=0.6)
    page.get_by_role("button", name="It fits: keep it").click()
    expect(state).to_contain_text("was measured on")
    canvas = open_tracing(page, "/recordings/3")
    expect(state).to_contain_text("was measured on")
    redrawn(canvas, lambda: page.get_by_role("button", name="True", exact=True).click())
    expect(page.locator("#zoom-now")).to_have_text("100 %")
    dark = canvas.evaluate(FIND_GRID)
    lines = [x for before, x in pairwise([-9, *dark]) if x - before > 1]
    steps = [after - before for before, after in pairwise(lines)]
    # a coarse square of 5 mm is 25 px where a millimetre is 5; a line is known to a pixel
    assert sum(steps) / len(steps) == pytest.approx(25.0, abs=2 / len(steps))
    page.locator("#measure-screen summary").click()
    page.get_by_role("button", name="Forget this screen").click()
    expect(state).to_contain_text("not measured")
    expect(page.locator("#zoom-now")).not_to_have_text("100 %")


def seconds(stretch: Locator) -> tuple[int, int]:
    found = re.match(r"(\d+)–(\d+) s", stretch.text_content() or "")
    assert found is not None
    return int(found[1]), int(found[2])
