"""Whether the tracing follows the hand: the frames of a tracing that is moved and zoomed.

`python -m benchmarks frames [--write]` serves one simulated recording by the command `couchside
serve`, opens it in Debian's Chromium with all twelve leads under one another, boundaries and
representative beats laid over them, and moves and zooms it by a step each frame. It tells what
the page itself works for a frame, and how long it is from one frame to the next.
"""

from __future__ import annotations

import argparse
import os
import platform
import tempfile
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from benchmarks.load.people import ARGUMENTS, CHROMIUM
from benchmarks.load.preparing import Plan, Prepared, serve_folder
from benchmarks.validation_page import write_section
from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.service import Source, open_desk, receive
from couchside.simulate import get_scenario, simulate
from couchside.waves.model import FloatArray

OPENS, CLOSES = "<!-- frames -->", "<!-- end frames -->"
FRAME_MS = 1000.0 / 60.0
ROUNDS = 5
SETTLES_MS = 500
LARGER_STEPS = 4
"""So often larger than true size that there is room to move."""

HANDS = {
    "moved": ("ArrowRight", "ArrowDown", "ArrowLeft", "ArrowUp"),
    "zoomed": ("+", "-"),
}
"""Keys that move and zoom; each is pressed ten times before the next."""

MOVE_AND_TIME = """async (keys) => {
  const canvas = document.querySelector("#tracing-canvas");
  const own = window.requestAnimationFrame.bind(window);
  const [work, apart] = [[], []];
  let [spent, drawn] = [0, 0];
  const timed = (act) => {
    const begun = performance.now();
    act();
    spent += performance.now() - begun;
  };
  window.requestAnimationFrame = (act) => own((now) => timed(() => { act(now); drawn += 1; }));
  let before = await new Promise(own);
  for (const key of keys) {
    timed(() => canvas.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })));
    const now = await new Promise(own);
    work.push(spent);
    apart.push(now - before);
    [spent, before] = [0, now];
  }
  window.requestAnimationFrame = own;
  return [work, apart, drawn];
}"""
"""The page asks for its frame first, so that its drawing is done when ours is called."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frames:
    """One number a frame: what the page worked for it, and how long after the last it came.

    `drawn` is in how many of them the tracing was drawn.
    """

    work_ms: FloatArray
    apart_ms: FloatArray
    drawn: int


def main(arguments: Sequence[str]) -> int:
    """Measure and print the table; exit code 1 where half of the frames take too much work."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks frames", description=__doc__)
    parser.add_argument("--write", action="store_true", help="into docs/validation.md")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        found = _measure_served(Path(folder))
    table = make_table(found)
    print(table)
    if asked.write:
        write_section(OPENS, CLOSES, table)
    return 0 if all(np.median(each.work_ms) < FRAME_MS for each in found.values()) else 1


def measure(page: Page, *, rounds: int = ROUNDS) -> dict[str, Frames]:
    """Move and zoom a tracing that is shown, there and back; by what the hand does."""
    for _ in range(LARGER_STEPS):
        page.locator("#tracing-canvas").press("+")
    page.wait_for_timeout(SETTLES_MS)
    found = {}
    for hand, keys in HANDS.items():
        steps = [key for key in keys for _ in range(10)] * rounds
        work, apart, drawn = page.evaluate(MOVE_AND_TIME, steps)
        found[hand] = Frames(work_ms=np.array(work), apart_ms=np.array(apart), drawn=drawn)
    return found


def make_table(found: dict[str, Frames]) -> str:
    """What was found, in Markdown."""
    lines = [
        "| tracing | frames, drawn | own work, ms: median, 95 % | to the next, ms: median, 95 % |",
        "|---|---|---|---|",
        *(
            f"| {hand} | {each.work_ms.size}, {each.drawn} | {_describe(each.work_ms)} "
            f"| {_describe(each.apart_ms)} |"
            for hand, each in found.items()
        ),
    ]
    machine = (
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, no graphics card, "
        f"Python {platform.python_version()}"
    )
    return "\n".join([*lines, "", f"Machine: {machine}."])


def _describe(times_ms: FloatArray) -> str:
    return f"{np.median(times_ms):.1f}, {np.percentile(times_ms, 95):.1f}"


def _measure_served(folder: Path) -> dict[str, Frames]:
    data, inbox = folder / "data", folder / "inbox"
    inbox.mkdir()
    content = write_dicom(simulate(get_scenario("good")).recording)
    with closing(open_desk(data, who="benchmark", zone=UTC)) as desk:
        file = ArrivedFile(name="simulated.dcm", content=content)
        receive(desk, Parcel(files=(file,)), source=Source.UPLOAD)
    plan = Plan(people=0, arrivals=0, at_work=0, seconds=0.0)
    prepared = Prepared(data=data, inbox=inbox, files=(), tokens=(), plan=plan)
    with serve_folder(prepared) as server, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        page = browser.new_page(base_url=server.address)
        page.goto("/recordings/1")
        _show_all(page)
        found = measure(page)
        browser.close()
    return found


def _show_all(page: Page) -> None:
    """All leads under one another at true size, with what can be laid over them."""
    page.locator("#tracing-canvas[data-drawn]").wait_for()
    page.locator("input[value='12x1']").check(force=True)
    page.get_by_role("button", name="True", exact=True).click()
    with page.expect_response("**/waves*"):
        page.locator("input[name=overlay][value=boundaries]").check(force=True)
    page.locator("input[name=overlay][value=beat]").check(force=True)
    page.wait_for_timeout(SETTLES_MS)
