"""A person's number is corrected from their page, and every page after it says so."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser


def test_a_mistyped_number_is_corrected_and_a_file_taken_along(page: Page) -> None:
    page.goto("/round")
    page.locator(".row-person", has_text="Kowalen").locator("a").first.click()
    page.get_by_role("link", name="All recordings of this person").click()
    page.get_by_text("Amend the identity…").click()
    page.get_by_label("Patient number").fill("Q-1909")
    page.get_by_label("Why").fill("digits swapped at the desk")
    page.get_by_role("button", name="Amend", exact=True).click()
    page.wait_for_url("**/patients?number=Q-1909")
    expect(page.locator(".amendments")).to_contain_text("Q-1009 became Q-1909")
    expect(page.locator(".amendments")).to_contain_text("digits swapped at the desk")
    page.goto("/round")
    row = page.locator(".row-person", has_text="Kowalen")
    expect(row).to_contain_text("No. Q-1909")
    expect(row).to_contain_text("identity amended")
    row.locator("a").click()
    expect(page.locator(".who")).to_contain_text("Q-1009 became Q-1909")
    expect(page.locator(".contradiction")).to_have_count(0)
    with page.expect_download() as taken:
        page.get_by_role("link", name="CSV table").click()
    content = taken.value.path().read_text(encoding="utf-8")
    assert "# patient_id: Q-1909\n" in content
    assert "patient number Q-1009 became Q-1909 (digits swapped at the desk)" in content
