"""Readable across the room, and whole whatever a name holds; `test_every_page` walks all pages."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

import pytest
from playwright.sync_api import Browser, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import OrderReference, Patient
from couchside.service import Desk, NewOrder, Source, add_order, match, receive
from couchside.simulate import get_scenario, simulate

pytestmark = [pytest.mark.browser, pytest.mark.looks]

PX_PER_MM = 96 / 25.4
CAPITAL_SHARE = 0.7
"""Height of a capital letter against the font size; between 0.70 and 0.73 in sans-serif faces."""
DISTANCE_MM = 2000.0
LEAST_ANGLE_ARCMIN = 10.0
"""Twice the 5 arc minutes of a letter on the 6/6 line of an acuity chart, so read at 6/12."""

FAULTY = "/recordings/6"
"""On the demo's round, after three earlier recordings: the person whose V3 electrode
brings mains interference."""


class Site(Protocol):
    """A running Couchside."""

    desk: Desk


def test_long_values_do_not_scroll_sideways(page: Page, site: Site) -> None:
    longest = Patient(identifier="W" * 64, family_name="W" * 64, given_name="M" * 64)
    order = add_order(
        site.desk, NewOrder(patient=longest, place="W" * 64, accession="W" * 16, reason="W" * 2000)
    )
    stranger = Patient(identifier="W" * 60, family_name="M" * 40, given_name="W" * 22)
    recording = replace(
        simulate(get_scenario("good")).recording,
        patient=stranger,
        order=OrderReference(accession_number="W" * 16),
        start=site.desk.now(),
    )
    parcel = Parcel(files=(ArrivedFile(name="W" * 100 + ".dcm", content=write_dicom(recording)),))
    received = receive(site.desk, parcel, source=Source.UPLOAD).recording
    assert received is not None
    page.set_viewport_size({"width": 360, "height": 740})
    for path in ("/round", f"/orders/{order.id}", f"/recordings/{received.id}"):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, path
    match(site.desk, recording_id=received.id, order_id=order.id)
    for path in ("/round", f"/recordings/{received.id}"):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, path


def test_the_answer_is_read_from_two_metres(page: Page) -> None:
    page.goto(FAULTY)
    for selector in (".verdict-word span", ".verdict-place", ".verdict-remedy"):
        size_px = page.locator(selector).first.evaluate(
            "(e) => parseFloat(getComputedStyle(e).fontSize)"
        )
        capital_mm = CAPITAL_SHARE * size_px / PX_PER_MM
        arcmin = capital_mm / DISTANCE_MM * 60 * 180 / 3.141592653589793
        assert arcmin >= LEAST_ANGLE_ARCMIN, selector


def test_the_answer_and_the_decision_fit_one_screen(page: Page) -> None:
    page.goto(FAULTY)
    for selector in (".verdict-word", ".verdict-remedy", ".verdict .electrodes", ".ways"):
        expect(page.locator(selector).first).to_be_in_viewport(ratio=0.99)


def test_the_named_electrode_is_marked_where_it_sits(page: Page) -> None:
    page.goto(FAULTY)
    named = page.locator(".verdict .spot.named")
    expect(named).to_have_count(1)
    expect(named).to_contain_text("C3")
    expect(page.locator(".verdict .electrodes svg")).to_have_attribute(
        "aria-label", "Where the named electrode sits: V3 electrode, midway between V2 and V4, "
        "cable C3, white and green",
    )  # fmt: skip


def test_labels_of_the_electrodes_do_not_lie_on_each_other(page: Page) -> None:
    page.goto("/help")
    boxes = page.locator(".spot text").evaluate_all(
        "(all) => all.map((e) => { const b = e.getBBox(); return [b.x, b.y, b.width, b.height]; })"
    )
    assert len(boxes) == 10
    for place, (x, y, width, height) in enumerate(boxes):
        for left, top, wide, high in boxes[place + 1 :]:
            overlaps = x < left + wide and left < x + width and y < top + high and top < y + height
            assert not overlaps


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_both_schemes_are_drawn(browser: Browser, page: Page, scheme: str) -> None:
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.goto(FAULTY)
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    channels = [int(part) for part in ground.removeprefix("rgb(").removesuffix(")").split(",")]
    assert (sum(channels) < 200) is (scheme == "dark")
