"""A recorder's morning in a real Chromium: its pulse arrives, it is checked, a fault is closed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Protocol

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from couchside.formats import write_dicom
from couchside.recording import Device
from couchside.service import Desk
from couchside.simulate.calibration import own_pulse_recording
from couchside.simulate.recorder import Recorder

pytestmark = pytest.mark.browser


class Site(Protocol):
    """A running Couchside."""

    desk: Desk
    inbox: Path


def test_from_the_pulse_to_a_recorder_that_is_fit(page: Page, site: Site) -> None:
    page.set_default_navigation_timeout(60_000)  # the first round decodes everything that it shows
    page.goto("/round")
    line = page.locator(".recorders-line")
    expect(line).to_contain_text("Out of use")
    expect(line).to_contain_text("clock 7 min behind")
    unmatched = page.locator(".row-unmatched").count()

    page.goto("/recorders/2")
    send_pulse(site, height_uv=900.0)
    pulse = page.get_by_role("link", name=f"{site.desk.today():%-d %b %Y}").first
    await_on_reload(page, "Its pulse does not pass".lower())
    expect(pulse).to_be_visible()
    page.goto("/round")
    expect(page.locator(".row-unmatched")).to_have_count(unmatched)
    page.goto("/recorders/2")
    pulse.click()
    expect(page.get_by_text("Do not record with this recorder")).to_be_visible()
    expect(page.get_by_text("mV high, not 1.00 mV").first).to_be_visible()
    page.get_by_role("link", name="Cart B").click()

    page.get_by_label("What was done").fill("new lead wire, and the gain set")
    page.get_by_role("button", name="Close the fault").click()
    expect(page.get_by_text("No fault is open.")).to_be_visible()
    expect(page.locator(".recorder-state")).to_contain_text("Pulse does not pass")
    send_pulse(site, height_uv=1001.0)
    await_on_reload(page, "Not checked today")

    page.get_by_role("link", name="Start of day: check").click()
    for choice in page.get_by_label("Done").all():
        choice.check()
    expect(page.locator(".item-words").first).to_be_hidden()
    clock = page.get_by_role("group", name="Date and time are those")
    clock.get_by_label("Fault found").check()
    clock.get_by_label("Why not, or which fault").fill("7 min behind, set by the clinic’s clock")
    assert not list_complaints(page)
    page.get_by_role("button", name="Keep this check").click()
    expect(page.locator(".recorder-state")).to_contain_text("Fault open")
    assert not list_complaints(page)
    page.get_by_label("What was done").fill("set")
    page.get_by_role("button", name="Close the fault").click()
    expect(page.locator(".recorder-state")).to_contain_text("Checked today")
    expect(page.get_by_text("Clock: too few arrivals")).to_be_visible()

    page.get_by_role("link", name="All recorders").click()
    expect(page.locator(".row-recorder")).to_have_count(2)
    assert not list_complaints(page)
    page.goto("/round")
    expect(line.get_by_role("link", name="1 recorder checked today")).to_be_visible()


def send_pulse(site: Site, *, height_uv: float) -> None:
    """A pulse of Cart B into the watched folder, by a clock that is seven minutes behind."""
    recording = own_pulse_recording(Recorder(), height_uv=height_uv)
    start = site.desk.now() - timedelta(minutes=7, seconds=recording.duration_s)
    device = Device(manufacturer="Simulated", serial_number="SIM-0002")
    content = write_dicom(replace(recording, start=start, device=device))
    (site.inbox / f"pulse-{height_uv:.0f}.dcm").write_bytes(content)


def await_on_reload(page: Page, words: str) -> None:
    """Load the page again until it says something; a recorder's page does not renew itself."""
    for _attempt in range(20):
        if page.get_by_text(words).count():
            return
        page.wait_for_timeout(300)
        page.reload()
    expect(page.get_by_text(words)).to_be_visible()


def list_complaints(page: Page) -> list[str]:
    """What axe-core finds serious on the page."""
    found = Axe().run(page).response["violations"]
    return [each["id"] for each in found if each["impact"] in {"serious", "critical"}]
