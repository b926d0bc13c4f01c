"""A real Chromium before a real server, both on the loopback address."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

from couchside.exchange.watched_folder import FolderWatch
from couchside.service import Desk, open_desk, prepare_demo
from couchside.web.server import bind_loopback, get_address, make_server

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WAIT_MS = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A running Couchside."""

    address: str
    desk: Desk
    inbox: Path


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium."""
    if not Path(CHROMIUM).exists():
        pytest.skip("Debian's chromium is not installed: make peers")
    expect.set_options(timeout=WAIT_MS)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data of a freshly prepared demo, to be copied and not changed."""
    folder = tmp_path_factory.mktemp("demo") / "data"
    desk = open_desk(folder, who="demo", zone=UTC)
    prepare_demo(desk)
    desk.close()
    return folder


@pytest.fixture
def database_kind() -> str:
    """What the desk writes into, unless a test with a desk of its own asks for "postgresql"."""
    return "sqlite"


@pytest.fixture
def desk(tmp_path: Path, prepared: Path) -> Iterator[Desk]:
    """The demo's round for one test."""
    shutil.copytree(prepared, tmp_path / "data")
    with closing(open_desk(tmp_path / "data", who="Test Person", zone=UTC)) as opened:
        yield opened


@pytest.fixture
def site(request: pytest.FixtureRequest, database_kind: str) -> Iterator[Site]:
    """A server of the desk, with a watched folder; one for all tests that are marked `looks`."""
    if request.node.get_closest_marker("looks") and database_kind == "sqlite":
        yield request.getfixturevalue("shown_site")
        return
    inbox = request.getfixturevalue("tmp_path") / "inbox"
    with serve(request.getfixturevalue("desk"), inbox) as served:
        yield served


@pytest.fixture(scope="session")
def shown_site(tmp_path_factory: pytest.TempPathFactory, prepared: Path) -> Iterator[Site]:
    """One server of the demo's round, for tests that settle nothing there."""
    folder = tmp_path_factory.mktemp("shown")
    shutil.copytree(prepared, folder / "data")
    with (
        closing(open_desk(folder / "data", who="Test Person", zone=UTC)) as desk,
        serve(desk, folder / "inbox") as served,
    ):
        yield served


@contextmanager
def serve(desk: Desk, inbox: Path) -> Iterator[Site]:
    """Serve a desk from a thread, for as long as the context lasts."""
    server = make_server(desk)
    with bind_loopback("127.0.0.1", 0) as listener, FolderWatch(desk, inbox):
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        yield Site(address=get_address(listener), desk=desk, inbox=inbox)
        server.should_exit = True
        thread.join()


@pytest.fixture
def page(browser: Browser, site: Site) -> Iterator[Page]:
    """A window of 1024 by 768 in which nothing may go wrong unseen."""
    context = browser.new_context(
        base_url=site.address, viewport={"width": 1024, "height": 768}, accept_downloads=True
    )
    opened = context.new_page()
    opened.set_default_timeout(WAIT_MS)
    troubles: list[str] = []
    opened.on("console", lambda message: _note(troubles, message))
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on("request", lambda request: _check_address(troubles, request.url, site.address))
    yield opened
    context.close()
    assert not troubles


def _note(troubles: list[str], message: ConsoleMessage) -> None:
    if message.type in {"error", "warning"}:
        troubles.append(message.text)


def _check_address(troubles: list[str], url: str, address: str) -> None:
    if not url.startswith((address, "data:", "blob:")):
        troubles.append(f"asked another machine: {url}")
