"""A filter switched on for the view is said beside the tracing, and touches nothing else."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.looks]


def test_a_filter_is_said_while_it_is_on_and_printed_never(page: Page) -> None:
    page.goto("/recordings/3")
    canvas = page.locator("#tracing-canvas")
    expect(canvas).to_have_attribute("data-drawn", re.compile(r"\d"))
    said, recorded = page.locator("#view-filter"), page.locator("#as-recorded")
    expect(said).to_be_hidden()
    expect(recorded).to_be_visible()
    before, pdf = (
        canvas.evaluate("(c) => c.toDataURL()"),
        page.locator("#pdf").get_attribute("href"),
    )
    page.locator(".more-tools summary").click()
    page.locator("input[value='low_pass_hz=40']").check(force=True)
    page.locator("input[value='notch_hz=50']").check(force=True)
    expect(said).to_contain_text("low-pass 40 Hz, notch 50 Hz")
    expect(recorded).to_be_hidden()
    page.wait_for_timeout(300)
    assert canvas.evaluate("(c) => c.toDataURL()") != before
    assert page.locator("#pdf").get_attribute("href") == pdf
    page.locator("input[value='low_pass_hz=40']").uncheck(force=True)
    page.locator("input[name=notch][value='']").check(force=True)
    expect(said).to_be_hidden()
    expect(recorded).to_be_visible()
