"""Scripted people in real browsers, each at the same round."""

from __future__ import annotations

import asyncio
import random
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from playwright.async_api import Browser, BrowserContext, Page, Response, async_playwright

from benchmarks.load.preparing import Plan

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
LOOKS_S = (0.7, 2.5)
"""So long somebody looks before deciding; buttons take nothing sooner than 0.6 s after a page."""

OPEN_ROWS = """(rows) => rows.filter(
  (row) => row.querySelector(".state").textContent.trim() !== "To be repeated"
).map((row) => row.querySelector("a").getAttribute("href"))"""
TIMES = """() => {
  const [page] = performance.getEntriesByType("navigation");
  return [page.responseEnd, page.domContentLoadedEventEnd];
}"""
WAYS = {
    "Record again": ("Record again…", "#form-again"),
    "Keep with remark": ("Keep with a remark…", "#form-note"),
}


@dataclass(slots=True, kw_only=True)
class Visits:
    """What all of them have seen: times of pages in ms, and answers to decisions by status."""

    answered_ms: list[float] = field(default_factory=list)
    shown_ms: list[float] = field(default_factory=list)
    decided: list[int] = field(default_factory=list)
    second: list[int] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)


async def work_together(address: str, tokens: Sequence[str], plan: Plan, visits: Visits) -> None:
    """All at work at once, until the time is over and nothing is left open."""
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        people = (
            _Person(await _sit_down(browser, address, token), visits, random.Random(number))  # noqa: S311 - a script
            for number, token in enumerate(tokens)
        )
        until = time.monotonic() + plan.seconds
        await asyncio.gather(*[person.work(until) async for person in people])
        await browser.close()


async def _sit_down(browser: Browser, address: str, token: str) -> BrowserContext:
    context = await browser.new_context(base_url=address)
    await context.add_cookies([{"name": "couchside", "value": token, "url": address}])
    return context


class _Person:
    def __init__(self, context: BrowserContext, visits: Visits, chance: random.Random) -> None:
        self._context, self._visits, self._chance = context, visits, chance

    async def work(self, until: float) -> None:
        """Look at the round, open somebody, decide; over and over."""
        page = await self._context.new_page()
        while time.monotonic() < until:
            await self._open(page, "/round")
            is_open = await page.locator(".row-person.wanted").evaluate_all(OPEN_ROWS)
            if is_open:
                await self._decide(page, self._chance.choice(is_open[:6]))
            else:
                await asyncio.sleep(self._chance.uniform(*LOOKS_S))
        await page.close()

    async def _open(self, page: Page, path: str) -> None:
        answer = await page.goto(path)
        await self._note(page, answer)

    async def _decide(self, page: Page, path: str) -> None:
        """As advised, by the buttons of the page."""
        await self._open(page, path)
        word = (await page.locator(".verdict-word").first.inner_text()).strip()
        await asyncio.sleep(self._chance.uniform(*LOOKS_S))
        if not await page.locator(".ways").first.is_visible():
            return  # somebody else decided between the round's page and this one
        if word in WAYS:
            summary, form = WAYS[word]
            await page.locator(".ways summary", has_text=summary).click()
            await asyncio.sleep(0.7)
            button = page.locator(form).get_by_role("button")
        else:
            button = page.get_by_role("button", name="Keep", exact=True)
        recording = int(path.rpartition("/")[2])
        async with page.expect_response(lambda answer: "/decision" in answer.url) as sent:
            await button.click()
        status = (await sent.value).status
        await page.wait_for_load_state()
        (self._visits.decided if status == 303 else self._visits.second).append(recording)
        self._visits.statuses[status] += 1
        await self._note(page, None)

    async def _note(self, page: Page, answer: Response | None) -> None:
        answered, shown = await page.evaluate(TIMES)
        self._visits.answered_ms.append(answered)
        self._visits.shown_ms.append(shown)
        if answer is not None:
            self._visits.statuses[answer.status] += 1
