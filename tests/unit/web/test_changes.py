"""One reader tells all open pages that something changed."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import AsyncIterator, Callable

import pytest
from fastapi.testclient import TestClient

from couchside.service import (
    DecisionKind,
    Desk,
    Received,
    RecordingDecision,
    Telling,
    close_telling,
    decide,
    get_change_mark,
    list_to_tell,
)
from couchside.web import changes as changes_module
from couchside.web.changes import Changes, Part

SOON_S = 5.0
FOLLOWS = re.compile(r'data-follows="(?P<part>[a-z-]+)" data-seen="(?P<mark>\d+)"')


async def take(stream: AsyncIterator[bytes]) -> bytes:
    return await asyncio.wait_for(anext(stream), SOON_S)


def read(event: bytes) -> dict[str, int]:
    """At which mark each part has changed last."""
    marks: dict[str, int] = json.loads(event.decode().removeprefix("data: "))
    return marks


def test_a_page_is_told_at_once_and_again_what_has_changed(
    desk: Desk, bring: Callable[..., Received], order_id: int
) -> None:
    async def listen() -> None:
        changes = Changes(desk)
        stream = changes.listen()
        at_once = get_change_mark(desk)
        assert read(await take(stream)) == dict.fromkeys(Part, at_once)
        waiting = asyncio.create_task(take(stream))
        await asyncio.sleep(3 * changes_module.LOOK_EVERY_S)
        assert not waiting.done(), "nothing has changed"
        received = await asyncio.to_thread(bring)
        arrived = get_change_mark(desk)
        told = read(await waiting)
        assert told == {"round": arrived, "to-tell": at_once, "chains": arrived}
        assert received.recording is not None
        wish = RecordingDecision(
            recording_id=received.recording.id, kind=DecisionKind.KEEP, seen_number=0
        )
        await asyncio.to_thread(decide, desk, wish)
        decided = get_change_mark(desk)
        assert read(await take(stream)) == told | {"round": decided}
        assert changes.listener_count == 1
        await stream.aclose()
        assert changes.listener_count == 0

    asyncio.run(listen())


def test_values_to_be_told_are_a_change_of_their_own(
    desk: Desk, bring: Callable[..., Received], protocol: None
) -> None:
    async def listen() -> None:
        stream = Changes(desk).listen()
        await take(stream)
        await asyncio.to_thread(bring)
        assert read(await take(stream))["to-tell"] == get_change_mark(desk)
        (item,) = list_to_tell(desk)
        telling = Telling(not_told_because="Told by voice")
        await asyncio.to_thread(close_telling, desk, item.id, telling)
        told = read(await take(stream))
        assert told["to-tell"] == get_change_mark(desk) > told["chains"]
        await stream.aclose()

    asyncio.run(listen())


def test_each_part_that_renews_itself_says_what_it_follows_and_at_which_mark(
    client: TestClient, desk: Desk, bring: Callable[..., Received], order_id: int
) -> None:
    received = bring()
    assert received.recording is not None
    page = f"/recordings/{received.recording.id}"
    found = {
        match["part"]: int(match["mark"])
        for path in ("/round", page, f"{page}/newer", "/tell-now/open", "/round/now")
        for match in FOLLOWS.finditer(client.get(path).text)
    }
    assert found == dict.fromkeys(Part, get_change_mark(desk))


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
        heard = [await take(stream) for _ in range(5)]
        assert heard.count(b"event: beat\ndata:\n\n") >= 4, "the mark is told but once"
        await stream.aclose()

    asyncio.run(listen())


def test_where_too_many_listen_the_next_page_asks(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(changes_module, "MOST_LISTENERS", 0)
    assert client.get("/changes").status_code == 204
    assert client.post("/changes").status_code == 405
