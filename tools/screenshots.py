"""Take the pictures of the pages under `docs/pictures` from a served demo.

`python -m tools.screenshots [--out FOLDER]` needs Debian's chromium. The clock is fixed, so that
the pictures change only when the pages do.
"""

from __future__ import annotations

import argparse
import io
import tempfile
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from couchside.service import Desk, open_desk, prepare_demo
from couchside.web.server import bind_loopback, get_address, make_server

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "docs" / "pictures"
CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
NOW = datetime(2026, 3, 2, 10, 20, tzinfo=UTC)
HEIGHTS = {360: 760, 1024: 768, 1920: 1080}
WIDTHS = (360, 1024, 1920)
FAULTY = ".row-person:has-text('V3 electrode') a"
"""On the demo's round, the person whose V3 electrode brings mains interference."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture: where to go, what to press there, how wide, and in which scheme."""

    name: str
    path: str
    width: int
    press: str = ""
    scroll_to: str = ""
    is_dark: bool = False
    is_whole: bool = False


PICTURES_TO_TAKE = (
    *(Picture(name=f"round-{width}", path="/round", width=width) for width in WIDTHS),
    *(
        Picture(name=f"recording-{width}", path="/round", press=FAULTY, width=width)
        for width in WIDTHS
    ),
    Picture(name="round-whole", path="/round", width=1024, is_whole=True),
    Picture(name="recording-dark", path="/round", press=FAULTY, width=1024, is_dark=True),
    Picture(name="recording-whole", path="/round", press=FAULTY, width=1024, is_whole=True),
    Picture(
        name="tracing-1024", path="/round", press=FAULTY, width=1024, scroll_to=".tracing-section"
    ),
    Picture(
        name="tracing-360", path="/round", press=FAULTY, width=360, scroll_to=".tracing-section"
    ),
    Picture(name="settings-1024", path="/settings", width=1024),
    Picture(name="add-a-person-1024", path="/orders/new", width=1024),
    Picture(name="help-1024", path="/help", width=1024),
)


def main() -> None:
    """Take every picture."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=PICTURES)
    folder = parser.parse_args().out
    folder.mkdir(parents=True, exist_ok=True)
    with _serve_demo() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        for picture in PICTURES_TO_TAKE:
            _take(browser, address, picture, folder)
        browser.close()


@contextmanager
def _serve_demo() -> Iterator[str]:
    with tempfile.TemporaryDirectory() as folder, closing(_open_demo(Path(folder))) as desk:
        server = make_server(desk)
        with bind_loopback("127.0.0.1", 0) as listener:
            thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
            thread.start()
            yield get_address(listener)
            server.should_exit = True
            thread.join()


def _open_demo(folder: Path) -> Desk:
    desk = replace(open_desk(folder, who="Robin Ashgrove", zone=UTC), clock=lambda: NOW)
    prepare_demo(desk)
    return desk


def _take(browser: Browser, address: str, picture: Picture, folder: Path) -> None:
    context = browser.new_context(
        base_url=address,
        viewport={"width": picture.width, "height": HEIGHTS[picture.width]},
        color_scheme="dark" if picture.is_dark else "light",
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.goto(picture.path)
    if picture.press:
        page.locator(picture.press).first.click()
        page.locator("#tracing-canvas[data-drawn]").wait_for()
    _settle(page, picture)
    shot = page.screenshot(full_page=picture.is_whole)
    context.close()
    with Image.open(io.BytesIO(shot)) as image:
        image.convert("RGB").save(folder / f"{picture.name}.png", optimize=True)


def _settle(page: Page, picture: Picture) -> None:
    """Let every drawing load, and stand where the picture is to be taken."""
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    page.wait_for_load_state("load")
    page.wait_for_function("[...document.images].every((image) => image.complete)")
    page.evaluate("window.scrollTo(0, 0)")
    if picture.scroll_to:
        page.locator(picture.scroll_to).evaluate("(element) => element.scrollIntoView()")


if __name__ == "__main__":
    main()
