"""Every page there is, before a thumb, an eye and a reader of screens, in every scheme."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Protocol

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi.routing import APIRoute
from playwright.sync_api import Browser, Page

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Patient
from couchside.service import Desk, NewOrder, Source, add_order, receive
from couchside.service.accounts import NewAccount, add_account
from couchside.service.inviting import accept_first, invite, invite_first
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.simulate import get_scenario, simulate
from couchside.store.words import Role
from couchside.web.app import ROUTERS
from couchside.web.entrance import THIS_MACHINE

pytestmark = pytest.mark.browser

AT_THE_COUCH = [
    "/orders/16", "/recordings/6", "/recordings/14", "/recordings/6/strip", "/guide/standard",
    "/guide/right-sided?size=large", "/recordings/6/calibration", "/upload",
]  # fmt: skip
"""A fault at one electrode, then the second attempt of another person."""
AFTERWARDS = [
    "/recordings/16", "/recordings/19", "/patients?number=Q-1001",
    "/patients/comparison?number=Q-1001&one=1&other=4", "/tell-now", "/tell-now/1", "/print",
    "/round/end", "/recordings/999",
]  # fmt: skip
"""Exchanged cables, and a value that is to be told; at last a page that says what is wrong."""
ABOUT_THE_DESK = [
    "/round", "/orders/new", "/readiness", "/recorders/1", "/recorders/2",
    "/recorders/2/check?part=start", "/recorders/2/check?part=end", "/settings", "/help",
    "/account", "/people",
]  # fmt: skip
MISSING = "/recordings/999"

PASSWORD = "a lamp beside the couch"
PARTS_OF_PAGES = {"/round/now", "/changes", "/tell-now/open", "/recordings/{recording_id}/newer"}
OPEN_ALL = "() => document.querySelectorAll('details').forEach((each) => { each.open = true; })"
FIND_WIDTH = "() => document.documentElement.scrollWidth"
SMALL_TARGETS = """() => [...document.querySelectorAll(
  "button, .button, summary, select, input, .masthead a, .person, .days a, .show-mark")]
  .filter((each) => each.checkVisibility({ visibilityProperty: true }))
  .filter((each) => !each.closest("[hidden]") && each.type !== "hidden")
  .map((each) => [each, (["radio", "checkbox"].includes(each.type) ? each.closest("label")
      : each.matches(".person") && each.closest(".row-person") || each).getBoundingClientRect()])
  .filter(([, box]) => box.width > 1 && (box.height < 43.9 || box.width < 43.9))
  .map(([each, box]) => `${each.outerHTML.slice(0, 90)} ${box.width} ${box.height}`)"""
EVERY_RULE = {"resultTypes": ["violations"]}
CONTRAST_ALONE = {**EVERY_RULE, "runOnly": ["color-contrast"]}
"""Of what axe-core looks at, the only thing that the dark scheme changes."""
ENHANCED_CONTRAST = {**EVERY_RULE, "runOnly": ["color-contrast-enhanced"]}
"""WCAG 2.2, 1.4.6: 7 to 1."""
WIDTHS = (768, 1920, 3840, 360, 1024)
WIDTHS_OF_HANDS = (360, 1024)
FIND_FILLS = """(told) => told.map((each) => document.querySelector(each))
  .filter((found) => found !== null)
  .map((found) => [getComputedStyle(found).backgroundColor, getComputedStyle(found).color])"""
TOLD_BY_FILL = [
    ".verdict-turn",
    "button.primary, .button.primary",
    ".tracing-tools :checked + span",
]


class Site(Protocol):
    """A running Couchside."""

    address: str
    desk: Desk
    inbox: Path


@pytest.fixture
def visitor(browser: Browser, site: Site) -> Iterator[Page]:
    """The administrator of a desk with something to tell."""
    receive_one_to_tell(site)
    code = invite_first(site.desk)
    assert code is not None
    token = accept_first(site.desk, code, sign_in_name="ida", name="Ida Fern", password=PASSWORD)
    context = browser.new_context(base_url=site.address, viewport={"width": 1024, "height": 768})
    context.add_cookies([{"name": THIS_MACHINE.cookie, "value": token, "url": site.address}])
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("pages", [AT_THE_COUCH, AFTERWARDS, ABOUT_THE_DESK])
def test_nothing_on_a_page_keeps_somebody_out(visitor: Page, pages: list[str]) -> None:
    assert [each for path in pages for each in look_at(visitor, path)] == []


def test_nothing_at_the_door_keeps_somebody_out(visitor: Page, site: Site) -> None:
    noor = NewAccount(sign_in_name="noor", name="Noor Elm", role=Role.READER)
    link = f"/link/{invite(site.desk, add_account(site.desk, noor).id)}"
    found = list(look_at(visitor, link))
    visitor.goto("/help")
    visitor.locator(".visitor summary").click()
    visitor.get_by_role("button", name="Lock", exact=True).click()
    visitor.locator("dialog.lock[open]").wait_for()
    found += list_complaints(visitor, "the lock over a page")
    found += look_at(visitor, "/help")
    assert visitor.locator("h1").inner_text() == "Locked"
    visitor.get_by_role("button", name="Sign Ida Fern out").click()
    found += look_at(visitor, "/sign-in")
    assert found == []


def test_more_contrast_and_forced_colours_keep_what_is_told(visitor: Page) -> None:
    found: list[str] = []
    for path in ("/round", "/recordings/6", "/guide/standard", "/settings"):
        visitor.emulate_media(contrast="more", forced_colors="none")
        visitor.goto(path)
        found += _run_axe(visitor, f"{path}, more contrast", ENHANCED_CONTRAST)
        visitor.emulate_media(contrast="no-preference", forced_colors="active")
        ground = visitor.evaluate("getComputedStyle(document.documentElement).backgroundColor")
        fills = visitor.evaluate(FIND_FILLS, TOLD_BY_FILL)
        found += [f"{path}: {each} lost its fill" for each in fills if each[0] in {ground, each[1]}]
    assert found == []
    visitor.goto("/recordings/6")
    assert len(visitor.evaluate(FIND_FILLS, TOLD_BY_FILL)) == len(TOLD_BY_FILL)


def test_the_pages_are_all_there_are() -> None:
    pages = (*AT_THE_COUCH, *AFTERWARDS, *ABOUT_THE_DESK, "/link/code", "/locked", "/sign-in")
    seen = [path.partition("?")[0] for path in pages]
    assert len(list_pages()) > 20
    assert [each for each in list_pages() if not any(map(make_pattern(each).fullmatch, seen))] == []


def receive_one_to_tell(site: Site) -> None:
    """A recording of somebody new, by a protocol that wants an ordinary heart rate told."""
    protocol = get_example_protocol().replace("at_most = 35", "at_most = 200")
    (site.inbox.parent / "data" / PROTOCOL_FILE).write_text(protocol, encoding="utf-8")
    patient = Patient(identifier="T-1", family_name="Quill", given_name="Ada")
    add_order(site.desk, NewOrder(patient=patient, place="Ward 3"))
    recording = replace(
        simulate(get_scenario("good")).recording, patient=patient, start=site.desk.now()
    )
    file = ArrivedFile(name="told.dcm", content=write_dicom(recording))
    receive(site.desk, Parcel(files=(file,)), source=Source.UPLOAD)


def look_at(page: Page, path: str) -> Iterator[str]:
    """Open a page with all that it folds away, and give what is wrong with it."""
    answer = page.goto(path)
    assert answer is not None
    assert answer.ok or path == MISSING, path
    if page.locator("#viewer").count():
        page.locator("#viewer").wait_for()
    page.evaluate(OPEN_ALL)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 768})
        if page.evaluate(FIND_WIDTH) > width:
            yield f"{path}: wider than {width}"
        if width in WIDTHS_OF_HANDS:
            small = page.evaluate(SMALL_TARGETS)
            yield from (f"{path}: small at {width}: {each}" for each in small)
    for part in ("h1", "main"):
        if page.locator(part).count() != 1:
            yield f"{path}: not one {part}"
    page.emulate_media(reduced_motion="reduce")
    if page.evaluate("document.getAnimations().length"):
        yield f"{path}: moves"
    yield from list_complaints(page, path)


def list_complaints(page: Page, path: str) -> Iterator[str]:
    """What axe-core finds serious or critical."""
    yield from _run_axe(page, f"{path}, light", EVERY_RULE)
    page.emulate_media(color_scheme="dark")
    yield from _run_axe(page, f"{path}, dark", CONTRAST_ALONE)
    page.emulate_media(color_scheme="light")


def _run_axe(page: Page, where: str, options: dict[str, list[str]]) -> Iterator[str]:
    for violation in Axe().run(page, options=options).response["violations"]:
        if violation["impact"] in {"serious", "critical"}:
            yield from (
                f"{where}: {violation['id']}: {node['html'][:160]}" for node in violation["nodes"]
            )


def list_pages() -> list[str]:
    """Addresses that answer with a page of their own, as the routes have them."""
    return [
        route.path
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, APIRoute)
        and "GET" in (route.methods or ())
        and route.path not in PARTS_OF_PAGES
        and not re.search(r"^/$|^/guide$|^/api|^/single-sign-on|\.(svg|pdf)$|/file/", route.path)
    ]


def make_pattern(address: str) -> re.Pattern[str]:
    """What the addresses of one route look like."""
    return re.compile(re.sub(r"{\w+}", "[^/]+", address))
