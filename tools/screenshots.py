"""Take a picture of every page, at three widths, for `docs/screens.md`.

`python -m tools.screenshots [--out FOLDER] [NAME…]` needs Debian's chromium; without names it takes
all. The clock is fixed, so that the pictures change only when the pages do.
"""

from __future__ import annotations

import argparse
import io
import tempfile
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, FloatRect, Page, sync_playwright

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Patient
from couchside.service import Desk, NewOrder, Source, add_order, open_desk, prepare_demo, receive
from couchside.service.accounts import Account, NewAccount, add_account, list_people
from couchside.service.inviting import invite
from couchside.service.passwords import hash_secret
from couchside.service.playing import play, prepare_cast
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.simulate import get_scenario, simulate
from couchside.store.queries.accounts import get_account
from couchside.store.words import Role
from couchside.web.entrance import THIS_MACHINE, Entrance
from couchside.web.server import bind_loopback, get_address, make_server
from tools.screens import (
    PICTURES,
    SCREENS,
    WIDTHS,
    Scheme,
    Screen,
    Who,
)

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
NOW = datetime(2026, 3, 2, 10, 20, tzinfo=UTC)
HEIGHTS = {360: 760, 768: 1024, 1280: 800}
MOST_HEIGHT_PX = 2600
"""A longer page is cut: a picture is to be looked at, not read."""
AROUND_PX = 14
NOTHING: FloatRect = {"x": 0, "y": 0, "width": 0, "height": 0}
COLOURS = 128
NEWCOMER = NewAccount(sign_in_name="ivo", name="Ivo Marsh", role=Role.READER)
WAIT_MS = 60_000
CONTEXTS: dict[Scheme, dict[str, str]] = {
    Scheme.LIGHT: {"color_scheme": "light"},
    Scheme.DARK: {"color_scheme": "dark"},
    Scheme.MORE_CONTRAST: {"color_scheme": "light", "contrast": "more"},
    Scheme.FORCED: {"color_scheme": "dark", "forced_colors": "active"},
}
LOAD_ALL = "() => document.querySelectorAll('img').forEach((each) => { each.loading = 'eager'; })"
ALL_ARE_THERE = "() => [...document.images].every((each) => each.complete)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clinic:
    """The invented clinic, served as `couchside serve` and as `couchside demo` do."""

    desk: Desk
    address: str
    demo_address: str


def main() -> None:
    """Take the pictures asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=PICTURES)
    parser.add_argument("--width", type=int, action="append", choices=list(WIDTHS))
    parser.add_argument("names", nargs="*", metavar="NAME")
    wish = parser.parse_args()
    wish.out.mkdir(parents=True, exist_ok=True)
    wanted = [each for each in SCREENS if not wish.names or each.name in wish.names]
    with _open_clinic() as clinic, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        take_all(browser, clinic, wanted, wish.width or list(WIDTHS), wish.out)
        browser.close()


def take_all(
    browser: Browser,
    clinic: Clinic,
    screens: Iterable[Screen],
    widths: Sequence[int],
    folder: Path,
) -> None:
    """Each page at each width; those with something to tell last, as all pages show it then."""
    ordered = sorted(screens, key=lambda each: each.needs_to_tell)
    has_one_to_tell = False
    for screen in ordered:
        if screen.needs_to_tell and not has_one_to_tell:
            _bring_one_to_tell(clinic.desk)
            has_one_to_tell = True
        for width in widths:
            shot = _take(browser, clinic, screen, width)
            _save(shot, folder / f"{screen.name}-{width}.png")


def _take(browser: Browser, clinic: Clinic, screen: Screen, width: int) -> bytes:
    address = clinic.demo_address if screen.is_demo else clinic.address
    context = browser.new_context(
        base_url=address,
        viewport={"width": width, "height": HEIGHTS[width]},
        reduced_motion="reduce",
        bypass_csp=True,
        **CONTEXTS[screen.scheme],  # type: ignore[arg-type]
    )
    context.set_default_timeout(WAIT_MS)
    try:
        if screen.who is not Who.NOBODY:
            token = _sign_in(clinic.desk, screen.who)
            context.add_cookies([{"name": THIS_MACHINE.cookie, "value": token, "url": address}])
        page = context.new_page()
        _open(page, clinic.desk, screen)
        return _shoot(page, screen, width)
    finally:
        context.close()


def _open(page: Page, desk: Desk, screen: Screen) -> None:
    """Go there, press what is to be pressed, and let every drawing load."""
    page.goto(_make_path(desk, screen))
    if page.locator("#tracing-canvas").count():
        page.locator("#tracing-canvas[data-drawn]").wait_for()
    for selector in screen.press:
        page.locator(selector).first.dispatch_event("click")
        page.wait_for_timeout(500)
    page.evaluate(LOAD_ALL)
    page.wait_for_load_state("load")
    page.wait_for_function(ALL_ARE_THERE)


def _make_path(desk: Desk, screen: Screen) -> str:
    if "{code}" in screen.path:
        return screen.path.format(code=invite(desk, _get_newcomer(desk).id))
    return "/help" if screen.path == "/locked" else screen.path


def _get_newcomer(desk: Desk) -> Account:
    """Somebody who has an account and no password yet."""
    known = [each for each in list_people(desk) if each.sign_in_name == NEWCOMER.sign_in_name]
    return known[0] if known else add_account(desk, NEWCOMER)


def _shoot(page: Page, screen: Screen, width: int) -> bytes:
    if screen.part:
        part = page.locator(screen.part).first
        part.wait_for()
        box = part.bounding_box() or NOTHING
        return page.screenshot(full_page=True, clip=_widen(box, width))  # type: ignore[arg-type]
    if screen.is_first_view:
        return page.screenshot()
    height = page.evaluate("() => document.documentElement.scrollHeight")
    clip = {"x": 0, "y": 0, "width": width, "height": min(height, MOST_HEIGHT_PX)}
    return page.screenshot(full_page=True, clip=clip)  # type: ignore[arg-type]


def _widen(box: FloatRect, width: int) -> dict[str, float]:
    """The part with some ground around it."""
    return {
        "x": 0,
        "y": max(box["y"] - AROUND_PX, 0),
        "width": width,
        "height": min(box["height"] + 2 * AROUND_PX, MOST_HEIGHT_PX),
    }


def _save(shot: bytes, target: Path) -> None:
    with Image.open(io.BytesIO(shot)) as image:
        cut = image.convert("RGB").crop((0, 0, image.width, min(image.height, MOST_HEIGHT_PX)))
        cut.quantize(COLOURS, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
            target, optimize=True
        )


def _sign_in(desk: Desk, who: Who) -> str:
    (account,) = (each for each in list_people(desk) if each.sign_in_name == who.value)
    return play(desk, account.id)


@contextmanager
def _open_clinic() -> Iterator[Clinic]:
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        desk = stack.enter_context(closing(_prepare(folder)))
        addresses = [
            stack.enter_context(_serve(desk, entrance))
            for entrance in (THIS_MACHINE, Entrance(is_demo=True))
        ]
        yield Clinic(desk=desk, address=addresses[0], demo_address=addresses[1])


def _prepare(folder: Path) -> Desk:
    """The demo's round, with people who have passwords and PINs as they would have."""
    desk = replace(open_desk(folder, who="Robin Ashgrove", zone=UTC), clock=lambda: NOW)
    prepare_cast(desk)
    prepare_demo(desk)
    with desk.store.writing() as session:
        for person in list_people(desk):
            account = get_account(session, person.id)
            account.password_hash = account.pin_hash = hash_secret("nobody types this")
    return desk


@contextmanager
def _serve(desk: Desk, entrance: Entrance) -> Iterator[str]:
    server = make_server(desk, entrance=entrance)
    with bind_loopback("127.0.0.1", 0) as listener:
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            yield get_address(listener)
        finally:
            server.should_exit = True
            thread.join()


def _bring_one_to_tell(desk: Desk) -> None:
    """A slow heart, by the example of a protocol with a bound that it meets."""
    protocol = get_example_protocol().replace("at_most = 35", "at_most = 55")
    (desk.data_folder / PROTOCOL_FILE).write_text(protocol, encoding="utf-8")
    patient = Patient(identifier="Q-1033", family_name="Thornbury", given_name="Osric")
    add_order(desk, NewOrder(patient=patient, place="Ward 3", due_at=NOW))
    recording = replace(
        simulate(get_scenario("third-degree-block")).recording,
        patient=patient,
        start=NOW - timedelta(minutes=1),
    )
    file = ArrivedFile(name="slow.dcm", content=write_dicom(recording))
    receive(desk, Parcel(files=(file,)), source=Source.DEMO)


if __name__ == "__main__":
    main()
