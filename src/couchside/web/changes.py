"""Tells every open page at once that something has changed, with one reader for all of them.

Whatever changes what a page shows leaves an entry in the audit trail, in the same transaction. So
the number of the newest entry is a mark of the state of everything, on any database and whichever
process wrote it.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator

from starlette.concurrency import run_in_threadpool

from couchside.errors import StoreError
from couchside.service import Desk, get_change_mark

LOOK_EVERY_S = 0.1
"""Arrival to screen has one second; looking costs one answer from an index."""

BEAT_S = 20.0
"""So often a page asks without a change: midnight comes without one."""

MOST_LISTENERS = 200


class Changes:
    """One reader of the mark while anybody listens, and the pages that listen."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._listeners: set[asyncio.Event] = set()
        self._reader: asyncio.Task[None] | None = None
        self._is_closed = False

    @property
    def listener_count(self) -> int:
        """How many streams are open."""
        return len(self._listeners)

    async def listen(self) -> AsyncGenerator[bytes, None]:
        """Server-sent events [HTML, server-sent events]: one now, one a change, one a beat."""
        changed = asyncio.Event()
        self._listeners.add(changed)
        self._start_reader()
        try:
            while not self._is_closed:
                yield b"data: changed\n\n"
                await _wait(changed)
        finally:
            self._listeners.discard(changed)

    def has_room(self) -> bool:
        """Whether one more page may listen; the others ask by themselves."""
        return len(self._listeners) < MOST_LISTENERS

    def close(self) -> None:
        """End every stream, so that the server can end."""
        self._is_closed = True
        self._wake()

    def _start_reader(self) -> None:
        if self._reader is None or self._reader.done():
            self._reader = asyncio.create_task(self._read())

    async def _read(self) -> None:
        mark = await self._look(None)
        while self._listeners and not self._is_closed:
            await asyncio.sleep(LOOK_EVERY_S)
            newest = await self._look(mark)
            if newest != mark:
                mark = newest
                self._wake()

    async def _look(self, before: int | None) -> int | None:
        try:
            return await run_in_threadpool(get_change_mark, self._desk)
        except StoreError:
            return before  # the pages find out by themselves, at the next beat

    def _wake(self) -> None:
        for listener in self._listeners:
            listener.set()


async def _wait(changed: asyncio.Event) -> None:
    try:
        await asyncio.wait_for(changed.wait(), BEAT_S)
    except TimeoutError:
        return
    changed.clear()
