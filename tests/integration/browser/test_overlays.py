"""Boundaries, the representative and an earlier beat over the tracing, by key and by tap."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from benchmarks.frames import FRAME_MS, measure
from playwright.sync_api import Locator, Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.looks]

WITH_EARLIER = "/recordings/4"
"""On the demo's round: a person with an earlier kept recording."""

COUNT_COLOUR = """([name, about]) => {
  const canvas = document.querySelector("#tracing-canvas");
  const style = getComputedStyle(document.documentElement);
  const wanted = style.getPropertyValue(`--trace-${name}`).trim();
  const rgb = [1, 3, 5].map((at) => parseInt(wanted.slice(at, at + 2), 16));
  const copy = new OffscreenCanvas(canvas.width, canvas.height);
  const context = copy.getContext("2d", { willReadFrequently: true });
  context.drawImage(canvas, 0, 0);
  const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
  let count = 0;
  for (let at = 0; at < data.length; at += 4) {
    if (rgb.every((value, channel) => Math.abs(data[at + channel] - value) <= about)) count += 1;
  }
  return count;
}"""


@pytest.fixture
def canvas(page: Page) -> Locator:
    """The tracing of a person with an earlier recording, drawn."""
    page.goto(WITH_EARLIER)
    drawn = page.locator("#tracing-canvas")
    expect(drawn).to_have_attribute("data-drawn", re.compile(r"\d"))
    drawn.focus()
    return drawn


def redrawn(canvas: Locator, act: Callable[[], object]) -> None:
    before = canvas.get_attribute("data-drawn")
    act()
    expect(canvas).not_to_have_attribute("data-drawn", before or "")


def lay_over_all(page: Page) -> None:
    for name, document in (("boundaries", "waves"), ("beat", ""), ("earlier", "earlier-beat")):
        box = page.locator(f"input[name=overlay][value={name}]")
        if document:
            with page.expect_response(re.compile(rf"/{document}(\?|$)")):
                box.check(force=True)
        else:
            box.check(force=True)
    page.wait_for_timeout(200)


def test_each_overlay_comes_and_goes_by_its_key_and_says_what_it_is(
    page: Page, canvas: Locator
) -> None:
    for key, name, colour in (("b", "boundaries", "band"), ("r", "beat", "beat"),
                              ("e", "earlier", "earlier")):  # fmt: skip
        words = page.locator(f"p[data-overlay={name}]")
        expect(words).to_be_hidden()
        before = page.evaluate(COUNT_COLOUR, [colour, 6])
        page.keyboard.press(key)
        expect(words).to_be_visible()
        expect(page.locator(f"input[name=overlay][value={name}]")).to_be_checked()
        page.wait_for_function(
            f"([given, least]) => ({COUNT_COLOUR})(given) > least", arg=[[colour, 6], before + 300]
        )
        page.keyboard.press(key)
        expect(words).to_be_hidden()
        page.wait_for_function(
            f"([given, most]) => ({COUNT_COLOUR})(given) <= most", arg=[[colour, 6], before]
        )


def test_overlays_keep_to_every_layout_and_order(page: Page, canvas: Locator) -> None:
    lay_over_all(page)
    page.locator(".more-tools summary").click()
    for choice in ("input[value='12x1']", "input[value=Cabrera]", "input[value=strip]",
                   "input[value='6x2']"):  # fmt: skip
        redrawn(canvas, lambda choice=choice: page.locator(choice).check(force=True))  # type: ignore[misc]
        page.wait_for_timeout(300)
        assert page.evaluate(COUNT_COLOUR, ["band", 6]) > 300, choice
    expect(page.locator("#tracing-failure")).to_be_hidden()


def test_axe_finds_nothing_serious_and_targets_are_large(page: Page) -> None:
    """On a phone, where all is nearest to each other; test_every_page looks without overlays."""
    page.set_viewport_size({"width": 360, "height": 800})
    page.goto(WITH_EARLIER)
    canvas = page.locator("#tracing-canvas")
    expect(canvas).to_have_attribute("data-drawn", re.compile(r"\d"))
    lay_over_all(page)
    for opened in (".more-tools", "#measure-screen"):
        page.locator(f"{opened} summary").click()
    found = Axe().run(page).response["violations"]
    serious = [each for each in found if each["impact"] in {"serious", "critical"}]
    assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in serious] == []
    boxes = page.locator(
        ".tracing-section label span, .tracing-section button, .tracing-section summary, "
        "#screen-slider"
    ).evaluate_all(
        "(all) => all.filter((e) => e.checkVisibility()).map((e) => "
        "[e.outerHTML.slice(0, 80), e.getBoundingClientRect().width, "
        "e.getBoundingClientRect().height])"
    )
    assert len(boxes) > 20
    assert [each for each in boxes if min(each[1:]) < 43.9] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_moving_and_zooming_keep_sixty_frames_a_second(page: Page, canvas: Locator) -> None:
    """Twelve leads of 5,000 samples with everything laid over them.

    What is held is a frame's own work, the median of many: this machine has no graphics card, and
    others work on it too. `python -m benchmarks frames` also tells the time between frames.
    """
    page.locator("input[value='12x1']").check(force=True)
    redrawn(canvas, lambda: page.get_by_role("button", name="True", exact=True).click())
    lay_over_all(page)
    for hand, frames in measure(page, rounds=1).items():
        assert frames.drawn > 0.8 * frames.work_ms.size, hand
        assert float(np.median(frames.work_ms)) < FRAME_MS, hand
