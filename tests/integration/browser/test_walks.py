"""The recorder's way through the pages, in a real Chromium."""

from __future__ import annotations

import re
import subprocess
import urllib.request
from dataclasses import replace
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Page, expect

from couchside.formats import write_dicom
from couchside.recording import Device, OrderReference, Patient, Recording
from couchside.service import Desk, list_round
from couchside.simulate import get_scenario, simulate

pytestmark = pytest.mark.browser

WAITING = "Ostrander"
"""Of the demo's round, somebody of whom nothing is recorded yet."""


class Site(Protocol):
    """A running Couchside."""

    address: str
    desk: Desk
    inbox: Path


def test_from_upload_to_paper(page: Page, site: Site, tmp_path: Path) -> None:
    faulty = write_recording(site, tmp_path, "mains-on-v3", "first.dcm")
    page.goto("/round")
    expect(page.locator(".row-person", has_text=WAITING)).to_contain_text("Waiting")

    page.get_by_role("link", name="Upload files").click()
    page.set_input_files("#files", faulty)
    page.get_by_role("button", name="Hand in").click()

    expect(page.locator(".verdict-word")).to_contain_text("Record again")
    expect(page.locator(".verdict-place")).to_contain_text("V3 electrode")
    expect(page.locator(".verdict-remedy")).not_to_be_empty()
    expect(page.locator(".excerpt img").first).to_have_js_property("complete", value=True)

    page.locator("summary", has_text="Record again…").click()
    page.get_by_role("button", name="Record again", exact=True).click()
    expect(page.locator("#newer")).to_contain_text("Waiting for attempt 2")

    good = write_recording(site, tmp_path, "good", "second.dcm")
    (site.inbox / "second.dcm").write_bytes(good.read_bytes())
    page.get_by_role("link", name="Open attempt 2").click()
    expect(page.locator(".verdict-word")).to_contain_text("Keep")
    expect(page.locator(".attempts li")).to_have_count(2)

    pdf_address = page.get_by_role("link", name="PDF to scale").get_attribute("href")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/round")
    row = page.locator(".row-person", has_text=WAITING)
    expect(row.locator(".state")).to_have_text("Kept")

    words = read_pdf(f"{site.address}{pdf_address}", tmp_path / "page.pdf")
    assert WAITING in words
    assert "25 mm/s" in words
    assert "10 mm/mV" in words
    assert "not a medical device" in words


def test_an_arrival_shows_by_itself(page: Page, site: Site, tmp_path: Path) -> None:
    page.goto("/round")
    arriving = write_recording(site, tmp_path, "mains-on-v3", "arriving.dcm")
    (site.inbox / "arriving.dcm").write_bytes(arriving.read_bytes())
    expect(page.locator(".arrival .person-name")).to_contain_text(WAITING)
    expect(page.locator(".arrival .verdict-word")).to_contain_text("Record again")
    expect(page.locator(".row-person", has_text=WAITING)).to_contain_text("V3 electrode")


def test_two_windows_share_one_stream_and_ask_only_when_something_changes(
    page: Page, site: Site, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("couchside.web.changes.BEAT_S", 600.0)
    page.goto("/round")
    other = page.context.new_page()
    other.goto("/round")
    asked: list[str] = []
    for window in (page, other):
        window.on("request", lambda request: asked.append(request.url))
    page.wait_for_timeout(1500)
    asked.clear()
    page.wait_for_timeout(1500)
    assert asked == [], "nothing changed"
    arriving = write_recording(site, tmp_path, "mains-on-v3", "arriving.dcm")
    (site.inbox / "arriving.dcm").write_bytes(arriving.read_bytes())
    for window in (page, other):
        expect(window.locator(".arrival .person-name")).to_contain_text(WAITING)
    assert any("/round/now" in url for url in asked)
    assert not any("/tell-now" in url for url in asked), "nothing is to be told"


def test_without_shared_workers_the_round_asks_by_itself(
    page: Page, site: Site, tmp_path: Path
) -> None:
    page.add_init_script("delete globalThis.SharedWorker")
    page.goto("/round")
    arriving = write_recording(site, tmp_path, "mains-on-v3", "arriving.dcm")
    (site.inbox / "arriving.dcm").write_bytes(arriving.read_bytes())
    expect(page.locator(".arrival .person-name")).to_contain_text(WAITING)


def test_an_arrival_takes_nobody_by_surprise(page: Page, site: Site, tmp_path: Path) -> None:
    page.goto("/round")
    link = page.locator(".row-person", has_text="Abara-Finch").locator("a")
    link.focus()
    arriving = write_recording(site, tmp_path, "mains-on-v3", "arriving.dcm")
    (site.inbox / "arriving.dcm").write_bytes(arriving.read_bytes())
    expect(page.locator(".arrival .person-name")).to_contain_text(WAITING)
    expect(link).to_be_focused()

    person = page.get_by_label("File under")
    chosen = person.locator("option").nth(2).get_attribute("value")
    person.select_option(chosen)
    person.focus()
    second = write_recording(site, tmp_path, "good", "second.dcm")
    (site.inbox / "second.dcm").write_bytes(second.read_bytes())
    page.wait_for_timeout(2000)
    expect(person).to_have_value(chosen or "")
    expect(page.locator(".row-person", has_text=WAITING)).not_to_contain_text("attempt 2")
    link.focus()
    expect(page.locator(".row-person", has_text=WAITING)).to_contain_text("attempt 2")


@pytest.mark.looks
@pytest.mark.parametrize("failure", ["abort", "500"])
def test_silence_is_noticed_and_forgotten(page: Page, failure: str) -> None:
    quiet = page.context.new_page()  # unwatched: Chromium writes each failure into its console
    quiet.add_init_script("delete globalThis.SharedWorker")  # asks all the time, without a stream
    quiet.goto("/round")
    notice = quiet.locator("#out-of-touch")
    expect(notice).to_be_hidden()
    quiet.route(
        "**/round/now*",
        lambda route: route.abort() if failure == "abort" else route.fulfill(status=500, body="?"),
    )
    expect(notice).to_be_visible()
    expect(quiet.locator("#people")).to_be_visible()
    quiet.unroute("**/round/now*")
    expect(notice).to_be_hidden()


def test_files_can_be_dropped_anywhere_on_the_round(page: Page, site: Site, tmp_path: Path) -> None:
    dropped = write_recording(site, tmp_path, "good", "dropped.dcm")
    page.goto("/round")
    transfer = page.evaluate_handle(
        """(bytes) => {
          const transfer = new DataTransfer();
          transfer.items.add(new File([new Uint8Array(bytes)], "dropped.dcm"));
          return transfer;
        }""",
        list(dropped.read_bytes()),
    )
    page.dispatch_event("body", "dragover", {"dataTransfer": transfer})
    expect(page.locator("#drop")).to_be_visible()
    page.dispatch_event("body", "drop", {"dataTransfer": transfer})
    page.wait_for_url("**/recordings/*")
    expect(page.locator("h1")).to_contain_text(WAITING)


def test_the_whole_way_by_keyboard(page: Page) -> None:
    page.goto("/round")
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    expect(page.locator(".skip")).to_be_in_viewport()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")

    press_access_key(page, "o")
    page.wait_for_url("**/recordings/*")
    press_access_key(page, "n")
    remark = page.locator("#remark")
    expect(remark).to_be_visible()
    why = page.locator("form:has(#remark)").get_by_label("The fault does not touch what is asked")
    why.focus()
    page.keyboard.press("Space")
    press_until_focused(page, "#remark")
    page.keyboard.type("The person coughed")
    press_until_focused(page, "button[value='keep with remark']")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(outline) == "solid"
    page.keyboard.press("Enter")
    page.wait_for_url("**/round")
    told = page.locator(".row-person", has_text="The fault does not touch what is asked")
    expect(told).to_be_visible()


def test_a_decision_of_somebody_else_is_not_overwritten(page: Page) -> None:
    slower = page.context.new_page()  # unwatched: Chromium writes the refusal into its console
    for each in (page, slower):
        each.goto("/round")
        each.locator(".row-person", has_text="Kowalen").locator("a").first.click()
        each.wait_for_url("**/recordings/*")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/round")
    slower.get_by_role("button", name="Keep", exact=True).click()
    expect(slower.locator("h1")).to_have_text("Somebody else was quicker")


def test_a_person_is_added_and_cannot_be_recorded(page: Page) -> None:
    page.goto("/round")
    page.get_by_role("link", name="Add a person").click()
    page.get_by_label("Patient number").fill("T-77")
    page.get_by_label("Family name").fill("<script>document.title='broken'</script>")
    page.get_by_label("Date of birth").fill("1948-07-30")
    page.get_by_role("button", name="Put on the round").click()
    page.wait_for_url("**/round*")
    row = page.locator(".row-person", has_text="T-77")
    expect(row).to_contain_text("<script>document.title='broken'</script>")
    row.locator("a").click()
    page.get_by_text("Could not be recorded…").click()
    page.get_by_label("The person declined").check()
    page.get_by_role("button", name="Could not be recorded").click()
    page.wait_for_url("**/round")
    expect(row.locator(".state")).to_have_text("Could not be recorded")
    assert "broken" not in page.title()
    row.locator("a").click()
    page.get_by_role("button", name="Expect this person again").click()
    page.wait_for_url("**/round")
    expect(row.locator(".state")).to_have_text("Waiting")
    row.locator("a").click()
    press_access_key(page, "g")
    page.get_by_label("Went home").check()
    page.get_by_role("button", name="Gone", exact=True).click()
    page.wait_for_url("**/round")
    expect(row.locator(".state")).to_have_text("Gone")


def test_the_essential_way_needs_no_script(page: Page, site: Site, tmp_path: Path) -> None:
    file = write_recording(site, tmp_path, "good", "plain.dcm")
    assert page.context.browser is not None
    context = page.context.browser.new_context(base_url=site.address, java_script_enabled=False)
    plain = context.new_page()
    plain.goto("/upload")
    plain.set_input_files("#files", file)
    plain.get_by_role("button", name="Hand in").click()
    plain.locator(".page-picture").wait_for()
    plain.get_by_role("button", name="Keep", exact=True).click()
    plain.wait_for_url("**/round")
    expect(plain.locator(".row-person", has_text=WAITING).locator(".state")).to_have_text("Kept")
    context.close()


def test_settings_change_the_cable_that_is_named(page: Page) -> None:
    page.goto("/settings")
    page.get_by_label("AHA").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    page.goto("/round")
    page.locator(".row-person", has_text="V3 electrode").locator("a").click()
    expect(page.locator(".verdict-place")).to_contain_text("V3 brown and green")


def press_access_key(page: Page, letter: str) -> None:
    """Alt and a letter as a keyboard sends them; access keys answer to the character's event."""
    session = page.context.new_cdp_session(page)
    for kind in ("rawKeyDown", "char", "keyUp"):
        session.send(
            "Input.dispatchKeyEvent",
            {
                "type": kind,
                "modifiers": 1,
                "key": letter,
                "code": f"Key{letter.upper()}",
                "windowsVirtualKeyCode": ord(letter.upper()),
                "unmodifiedText": letter if kind == "char" else "",
                "text": letter if kind == "char" else "",
            },
        )
    session.detach()


def press_until_focused(page: Page, selector: str) -> None:
    for _ in range(40):
        if page.evaluate("(s) => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{selector} cannot be reached by Tab")


def write_recording(site: Site, folder: Path, scenario: str, name: str) -> Path:
    """A DICOM file of the waiting person, as a recorder would hand it over."""
    order = next(
        entry.order
        for entry in list_round(site.desk).entries
        if entry.order.patient.family_name == WAITING
    )
    path = folder / name
    path.write_bytes(
        write_dicom(_of(simulate(get_scenario(scenario)).recording, order.patient, site))
    )
    return path


def _of(recording: Recording, patient: Patient, site: Site) -> Recording:
    now = site.desk.now().replace(microsecond=0)
    return replace(
        recording,
        patient=patient,
        start=now,
        order=OrderReference(),
        device=Device(model="Simulated"),
    )


def read_pdf(address: str, path: Path) -> str:
    with urllib.request.urlopen(address) as answer:  # noqa: S310 (loopback)
        content = answer.read()
    assert content.startswith(b"%PDF-")
    path.write_bytes(content)
    done = subprocess.run(
        ["pdftotext", "-layout", path, "-"], capture_output=True, check=True, text=True
    )
    return re.sub(r"\s+", " ", done.stdout)
