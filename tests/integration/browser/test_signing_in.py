"""From the one-time link of a first start to two people at work, in a real Chromium."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Patient
from couchside.service import Desk, NewOrder, Source, add_order, open_desk, receive
from couchside.service.inviting import invite_first
from couchside.service.sign_in_limits import MOST_OF_NAME_FROM_ADDRESS
from couchside.simulate import get_scenario, simulate

pytestmark = pytest.mark.browser

FAULTY = "/recordings/1"
QUILL = Patient(identifier="T-41", family_name="Quill", given_name="Ada")
IDAS, NOORS = "a lamp beside the couch", "seven kettles on a shelf"
PIN = "2468"
BEYOND_THE_LOCK = "10:30"
"""Minutes and seconds; nobody had a hand on the browser for ten minutes."""

IS_INSIDE = """() => document.activeElement === document.body
  || document.activeElement.closest("dialog.lock") !== null"""


class Site(Protocol):
    """A running Couchside."""

    address: str
    desk: Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk at which nobody has an account, with one recording to decide on."""
    with closing(open_desk(tmp_path / "data", who="Test Person", zone=UTC)) as opened:
        add_order(opened, NewOrder(patient=QUILL))
        recording = replace(
            simulate(get_scenario("mains-on-v3")).recording, patient=QUILL, start=opened.now()
        )
        file = ArrivedFile(name="faulty.dcm", content=write_dicom(recording))
        receive(opened, Parcel(files=(file,)), source=Source.UPLOAD)
        yield opened


@pytest.fixture
def sit_down(browser: Browser, site: Site) -> Iterator[Callable[[], Page]]:
    """Gives a window of a browser of its own, whose clock can be put forward."""
    contexts: list[BrowserContext] = []

    def sit_down() -> Page:
        contexts.append(browser.new_context(base_url=site.address))
        contexts[-1].set_default_timeout(10_000)
        contexts[-1].clock.install()
        return contexts[-1].new_page()

    yield sit_down
    for context in contexts:
        context.close()


def test_from_the_first_link_to_a_reader_who_signs_out(
    site: Site, sit_down: Callable[[], Page]
) -> None:
    ida, noor = sit_down(), sit_down()
    code = invite_first(site.desk)
    ida.goto(f"/link/{code}")
    ida.get_by_label("Your name").fill("Ida Fern")
    ida.get_by_label("Sign-in name").fill("ida")
    choose_password(ida, IDAS)
    expect(ida.locator("h1")).to_have_text("People")
    noor.goto(f"/link/{code}")
    expect(noor.locator("main")).to_contain_text("has been used or has expired")
    noor.goto(FAULTY)
    expect(noor.locator("h1")).to_have_text("Sign in")

    ida.get_by_label("Name, as decisions are to bear it").fill("Noor Elm")
    ida.get_by_label("Sign-in name").fill("noor")
    ida.get_by_label("Role", exact=True).select_option("reader")
    ida.get_by_role("button", name="Make the account").click()
    noor.goto(ida.locator("#link").inner_text())
    expect(noor.locator("h1")).to_have_text("Welcome, Noor Elm")
    choose_password(noor, NOORS)
    noor.wait_for_url("**/round")

    see_only(noor)
    uncover_a_half_written_word(ida)
    find_no_way_round_the_lock(ida)

    sign_out(noor)
    mistype(noor, "is not right", times=1)
    noor.get_by_label("Password").fill(NOORS)
    noor.get_by_role("button", name="Sign in", exact=True).click()
    noor.wait_for_url(f"**{FAULTY}")
    sign_out(noor)
    mistype(noor, "is not right", times=MOST_OF_NAME_FROM_ADDRESS)
    noor.get_by_label("Password").fill(NOORS)
    noor.get_by_role("button", name="Sign in", exact=True).click()
    expect(noor.get_by_role("alert")).to_contain_text("too many tries; wait 15 min")


def mistype(page: Page, refusal: str, *, times: int) -> None:
    """Try to get in with a wrong password."""
    page.goto(FAULTY)
    page.get_by_label("Sign-in name").fill("noor")
    for _ in range(times):
        page.get_by_label("Password").fill("seven kettles on a shell")
        page.get_by_role("button", name="Sign in", exact=True).click()
        expect(page.get_by_role("alert")).to_contain_text(refusal)


def choose_password(page: Page, password: str) -> None:
    """Type a new password twice and go on."""
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_label("The same again").fill(password)
    page.get_by_role("button", name="Go on").click()


def see_only(page: Page) -> None:
    """A reader sees the verdict and the tracing, and nothing that would change them."""
    page.goto(FAULTY)
    expect(page.locator(".verdict-word")).to_contain_text("Record again")
    expect(page.locator(".decide")).to_contain_text("Not yet decided.")
    expect(page.locator(".decide button, .decide summary")).to_have_count(0)
    expect(page.locator("main form[method=post]")).to_have_count(0)
    page.goto("/round")
    expect(page.get_by_role("link", name="Add a person")).to_have_count(0)
    page.goto("/people")
    expect(page.locator("main")).to_contain_text("Noor Elm is a reader and may not")


def uncover_a_half_written_word(page: Page) -> None:
    """Nobody is there for ten minutes; the PIN brings back what was being written."""
    page.goto("/account")
    page.get_by_label("New PIN").fill(PIN)
    page.get_by_label("Your password", exact=True).fill(IDAS)
    page.get_by_role("button", name="Save the PIN").click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    page.goto(FAULTY)
    page.locator("summary", has_text="Keep with a remark…").click()
    page.locator("#remark").fill("The person cou")
    cover = page.locator("dialog.lock")
    expect(cover).to_be_hidden()
    page.clock.fast_forward(BEYOND_THE_LOCK)
    expect(cover).to_be_visible()
    expect(cover.get_by_label("PIN or password")).to_be_focused()
    for _ in range(4):  # Chromium lets a dialog refuse only so often
        page.keyboard.press("Escape")
    expect(cover).to_be_visible()
    for _ in range(8):
        page.keyboard.press("Tab")
        assert page.evaluate(IS_INSIDE)
    beside = page.context.new_page()
    beside.goto("/round")
    expect(beside.locator("h1")).to_have_text("Locked")
    beside.close()
    cover.get_by_label("PIN or password").fill("1357")
    cover.get_by_role("button", name="Go on").click()
    expect(cover.get_by_role("alert")).to_be_visible()
    cover.get_by_label("PIN or password").fill(PIN)
    cover.get_by_role("button", name="Go on").click()
    expect(cover).to_be_hidden()
    expect(page.locator("#remark")).to_have_value("The person cou")
    page.locator("#remark").press_sequentially("ghed")
    form = page.locator("form:has(#remark)")
    form.get_by_label("The fault does not touch what is asked").check()
    page.get_by_role("button", name="Keep with this remark").click()
    page.wait_for_url("**/round")


def find_no_way_round_the_lock(page: Page) -> None:
    """Neither the page before nor loading again shows anybody; the password leads on."""
    page.goto("/help")
    page.locator(".visitor summary").click()
    page.get_by_role("button", name="Lock", exact=True).click()
    expect(page.locator("dialog.lock")).to_be_visible()
    page.go_back()
    expect(page.locator("h1")).to_have_text("Locked")
    page.reload()
    expect(page.locator("h1")).to_have_text("Locked")
    expect(page.locator(".row-person")).to_have_count(0)
    page.locator("main").get_by_label("PIN or password").fill(IDAS)
    page.locator("main").get_by_role("button", name="Go on").click()
    expect(page.locator(".row-person")).to_have_count(1)


def sign_out(page: Page) -> None:
    """Leave; what was seen is not seen again without signing in."""
    page.locator(".visitor summary").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.locator("h1")).to_have_text("Sign in")
    page.go_back()
    page.reload()
    expect(page.locator("h1")).to_have_text("Sign in")
