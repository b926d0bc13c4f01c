"""What a hand in a hurry does on the page of a recording, in a real Chromium."""

from __future__ import annotations

from typing import Protocol

import pytest
from playwright.sync_api import Locator, Page, expect

from couchside.quality import Verdict
from couchside.service import Desk, State, list_round

pytestmark = pytest.mark.browser

TOO_SOON_MS = 600


class Site(Protocol):
    """A running Couchside."""

    address: str
    desk: Desk


def open_undecided(page: Page, site: Site, verdict: Verdict) -> str:
    """Open a recording with that verdict on which nobody has decided; its person's family name."""
    entry = next(
        each
        for each in list_round(site.desk).entries
        if each.state is State.TO_DECIDE and each.verdict is verdict and each.latest
    )
    assert entry.latest is not None
    page.goto(f"/recordings/{entry.latest.recording_id}")
    return entry.order.patient.family_name


def state_of(site: Site, family_name: str) -> State:
    return next(
        each.state
        for each in list_round(site.desk).entries
        if each.order.patient.family_name == family_name
    )


def places_of(buttons: Locator) -> list[tuple[float, float, float, float]]:
    """Where the buttons stand in the document."""
    places: list[tuple[float, float, float, float]] = buttons.evaluate_all(
        """(all) => all.map((one) => {
          const box = one.getBoundingClientRect();
          return [box.x, box.y + scrollY, box.width, box.height];
        })"""
    )
    return places


@pytest.fixture(params=[(1024, 768), (360, 740)], ids=["desk", "phone"])
def sized(page: Page, request: pytest.FixtureRequest) -> Page:
    """The page on two screens."""
    width, height = request.param
    page.set_viewport_size({"width": width, "height": height})
    return page


@pytest.mark.looks
@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_double_click_opens_in_view_moves_no_button_and_decides_nothing(
    sized: Page, site: Site, verdict: Verdict
) -> None:
    name = open_undecided(sized, site, verdict)
    buttons = sized.locator(".ways > .way > :is(summary, button)")
    before = places_of(buttons)
    ways = sized.locator(".ways summary")
    for number in range(ways.count()):
        ways.nth(number).dblclick()
        form = sized.locator(".way-form:visible")
        expect(form).to_have_count(1)
        expect(form.get_by_role("button")).to_be_in_viewport()
        assert places_of(buttons) == before
        ways.nth(number).click(click_count=3, delay=20)
        sized.wait_for_timeout(TOO_SOON_MS)
    assert "/recordings/" in sized.url
    assert state_of(site, name) is State.TO_DECIDE


@pytest.mark.looks
@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_buttons_stand_in_the_order_of_tab(page: Page, site: Site, verdict: Verdict) -> None:
    open_undecided(page, site, verdict)
    buttons = page.locator(".ways > .way > :is(summary, button)")
    places = [(y, x) for x, y, _, _ in places_of(buttons)]
    assert len(places) == 4
    assert places == sorted(places)
    expect(buttons.first).to_have_class("button primary" if verdict != "keep" else "primary")


def test_by_keyboard_nothing_is_kept_against_the_advice_unasked(page: Page, site: Site) -> None:
    name = open_undecided(page, site, Verdict.RECORD_AGAIN)
    press_access_key(page, "k")
    form = page.locator("#form-keep")
    expect(form.get_by_text("Keep this one all the same?")).to_be_visible()
    assert state_of(site, name) is State.TO_DECIDE
    form.get_by_label("The fault does not touch what is asked").focus()
    page.keyboard.press("Space")
    form.get_by_role("button", name="Keep all the same").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/round")
    row = page.locator(".row-person", has_text=name)
    expect(row).to_contain_text("The fault does not touch what is asked")
    assert state_of(site, name) is State.KEPT


def test_by_keyboard_what_is_advised_is_kept_at_once(page: Page, site: Site) -> None:
    name = open_undecided(page, site, Verdict.KEEP)
    press_access_key(page, "k")
    page.wait_for_url("**/round")
    assert state_of(site, name) is State.KEPT


def test_keeping_twice_is_keeping_once(page: Page, site: Site) -> None:
    name = open_undecided(page, site, Verdict.KEEP)
    page.get_by_role("button", name="Keep", exact=True).dblclick()
    page.wait_for_url("**/round")
    assert state_of(site, name) is State.KEPT


def test_the_second_half_of_a_double_tap_does_nothing_on_the_next_page(
    page: Page, site: Site
) -> None:
    name = open_undecided(page, site, Verdict.KEEP)
    keep = page.get_by_role("button", name="Keep", exact=True)
    box = keep.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.evaluate(
        """([x, y]) => sessionStorage.setItem(
          "last-tap", JSON.stringify({ x, y, atMs: Date.now() + 2000 }))""",
        [x, y],
    )
    page.reload()
    page.mouse.click(x, y)
    page.wait_for_timeout(TOO_SOON_MS)
    assert state_of(site, name) is State.TO_DECIDE


def press_access_key(page: Page, letter: str) -> None:
    """Alt and a letter as a keyboard sends them; access keys answer to the character's event."""
    session = page.context.new_cdp_session(page)
    for kind in ("rawKeyDown", "char", "keyUp"):
        text = letter if kind == "char" else ""
        session.send(
            "Input.dispatchKeyEvent",
            {
                "type": kind,
                "modifiers": 1,
                "key": letter,
                "code": f"Key{letter.upper()}",
                "windowsVirtualKeyCode": ord(letter.upper()),
                "unmodifiedText": text,
                "text": text,
            },
        )
    session.detach()
