"""One reader tells all open pages that something changed."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable

import pytest
from fastapi.testclient import TestClient

from couchside.service import Desk, Received
from couchside.web import changes as changes_module
from couchside.web.changes import Changes

SOON_S = 5.0


async def take(stream: AsyncIterator[bytes]) -> bytes:
    return await asyncio.wait_for(anext(stream), SOON_S)


def test_a_page_is_told_at_once_and_again_after_a_change(
    desk: Desk, bring: Callable[..., Received]
) -> None:
    async def listen() -> None:
        changes = Changes(desk)
        stream = changes.listen()
        assert await take(stream) == b"data: changed\n\n"
        waiting = asyncio.create_task(take(stream))
        await asyncio.sleep(3 * changes_module.LOOK_EVERY_S)
        assert not waiting.done(), "nothing has changed"
        await asyncio.to_thread(bring)
        assert await waiting == b"data: changed\n\n"
        assert changes.listener_count == 1
        await stream.aclose()
        assert changes.listener_count == 0

    asyncio.run(listen())


def test_all_streams_end_when_the_server_ends(desk: Desk) -> None:
    async def listen() -> None:
        changes = Changes(desk)
        streams = [changes.listen() for _ in range(3)]
        for stream in streams:
            await take(stream)
        waiting = [asyncio.create_task(take(stream)) for stream in streams]
        await asyncio.sleep(0)
        changes.close()
        for each in waiting:
            with pytest.raises(StopAsyncIteration):
                await each

    asyncio.run(listen())


def test_a_page_asks_now_and_then_without_a_change(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(changes_module, "BEAT_S", 0.01)

    async def listen() -> None:
        stream = Changes(desk).listen()
        assert [await take(stream) for _ in range(3)] == [b"data: changed\n\n"] * 3
        await stream.aclose()

    asyncio.run(listen())


def test_where_too_many_listen_the_next_page_asks(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(changes_module, "MOST_LISTENERS", 0)
    assert client.get("/changes").status_code == 204
    assert client.post("/changes").status_code == 405
