"""Tells every open page at once what has changed, with one reader for all of them.

Whatever changes what a page shows leaves an entry in the audit trail, in the same transaction. So
the number of the newest entry is a mark of the state of everything, on any database and whichever
process wrote it. A part of a page says which mark it was made at and what it follows; the stream
says at which mark that has changed last, and only a part that is older asks.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncGenerator
from enum import StrEnum

from starlette.concurrency import run_in_threadpool

from couchside.errors import StoreError
from couchside.service import Desk, get_change_mark
from couchside.service.moments import Followed, read_followed

LOOK_EVERY_S = 0.1
"""Arrival to screen has one second; looking costs one answer from an index."""

BEAT_S = 20.0
"""So often each part asks without a change: midnight comes without one, and a sign-in ends."""

MOST_LISTENERS = 200

_BEAT = b"event: beat\ndata:\n\n"


class Part(StrEnum):
    """What parts of pages follow, as `data-follows` in the templates names it."""

    ROUND = "round"
    TO_TELL = "to-tell"
    CHAINS = "chains"


class Changes:
    """One reader of the mark while anybody listens, and the pages that listen."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._listeners: set[asyncio.Event] = set()
        self._reader: asyncio.Task[None] | None = None
        self._mark: int | None = None
        self._followed: Followed | None = None
        self._changed_at: dict[Part, int] = {}
        self._is_closed = False

    @property
    def listener_count(self) -> int:
        """How many streams are open."""
        return len(self._listeners)

    async def listen(self) -> AsyncGenerator[bytes, None]:
        """Server-sent events [HTML, server-sent events]: one now, one a change, beats between."""
        woken = asyncio.Event()
        self._listeners.add(woken)
        self._start_reader()
        if self._changed_at:
            woken.set()
        try:
            while not self._is_closed:
                yield self._tell() if await _is_woken(woken) else _BEAT
        finally:
            self._listeners.discard(woken)

    def has_room(self) -> bool:
        """Whether one more page may listen; the others ask by themselves."""
        return len(self._listeners) < MOST_LISTENERS

    def close(self) -> None:
        """End every stream, so that the server can end."""
        self._is_closed = True
        self._wake()

    def _start_reader(self) -> None:
        if self._reader is None or self._reader.done():
            self._changed_at = {}  # nobody has looked meanwhile
            self._reader = asyncio.create_task(self._read())

    async def _read(self) -> None:
        while self._listeners and not self._is_closed:
            await self._look()
            await asyncio.sleep(LOOK_EVERY_S)

    async def _look(self) -> None:
        try:
            mark = await run_in_threadpool(get_change_mark, self._desk)
            if mark == self._mark and self._changed_at:
                return
            followed = await run_in_threadpool(read_followed, self._desk)
            newest = await run_in_threadpool(get_change_mark, self._desk)
        except StoreError:
            return  # the pages find out by themselves, at the next beat
        self._note(mark, followed, newest)
        self._wake()

    def _note(self, mark: int, followed: Followed, newest: int) -> None:
        """What was read between two marks may be of the later one."""
        before, is_first = self._followed, not self._changed_at
        self._changed_at[Part.ROUND] = newest
        if is_first or before is None or followed.to_tell != before.to_tell:
            self._changed_at[Part.TO_TELL] = newest
        if is_first or before is None or followed.chains != before.chains:
            self._changed_at[Part.CHAINS] = newest
        self._mark, self._followed = mark, followed

    def _tell(self) -> bytes:
        return f"data: {json.dumps(self._changed_at)}\n\n".encode()

    def _wake(self) -> None:
        for listener in self._listeners:
            listener.set()


async def _is_woken(woken: asyncio.Event) -> bool:
    """Whether something has changed before the next beat."""
    try:
        await asyncio.wait_for(woken.wait(), BEAT_S)
    except TimeoutError:
        return False
    woken.clear()
    return True
