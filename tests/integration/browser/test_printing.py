"""A round is printed: chosen beforehand, one PDF, and then nothing more to print."""

from __future__ import annotations

from io import BytesIO

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

pytestmark = pytest.mark.browser


def test_a_round_is_printed_with_the_departments_pages(page: Page) -> None:
    page.goto("/settings")
    page.get_by_label("tracing 6 × 2, measures, findings").check()
    page.get_by_role("button", name="Save the pages").click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    page.goto("/round")
    page.get_by_role("link", name="Print…").click()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(1)
    page.get_by_label("Print Kowalen, Zofia").check()
    query = page.evaluate(
        "() => String(new URLSearchParams(new FormData(document.querySelector('main form'))))"
    )
    answer = page.request.get(f"/print.pdf?{query}")
    assert answer.ok
    assert len(PdfReader(BytesIO(answer.body())).pages) == 4
    page.reload()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(0)
    expect(page.locator(".row-print", has_text="Kowalen")).to_contain_text("printed at")
