"""Files to take along: for whoever may see, and nobody else."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from couchside.service import Desk, Received
from couchside.service.taking_along import FileKind
from couchside.service.trail import list_trail
from couchside.store.words import Role

KINDS = [kind.value for kind in FileKind]


@pytest.fixture
def page(order_id: int, bring: Callable[..., Received]) -> str:
    received = bring(name="Prüfung 1.csv")
    assert received.recording is not None
    return f"/recordings/{received.recording.id}"


def test_whoever_may_see_takes_files_along_and_is_named(
    come_as: Callable[[Role | None], TestClient], desk: Desk, page: str
) -> None:
    reader = come_as(Role.READER)
    shown = reader.get(page).text
    for kind in KINDS:
        assert f'href="{page}/file/{kind}"' in shown
        answer = reader.get(f"{page}/file/{kind}")
        assert answer.status_code == 200
        assert answer.headers["content-disposition"].startswith("attachment; filename*=UTF-8''")
        entry = list_trail(desk, count=1)[0]
        assert (entry.account, entry.what, entry.detail["format"]) == ("reader", "exported", kind)
    original = reader.get(f"{page}/file/original")
    assert original.headers["content-disposition"].endswith("Pr%C3%BCfung%201.csv")


def test_a_stranger_takes_nothing(come_as: Callable[[Role | None], TestClient], page: str) -> None:
    answer = come_as(None).get(f"{page}/file/csv")
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")


def test_what_is_not_there_or_not_so_is_answered_kindly(client: TestClient, page: str) -> None:
    assert client.get("/recordings/77/file/csv").status_code == 404
    assert client.get(f"{page}/file/bmp").status_code in {404, 422}
    assert client.post(f"{page}/file/csv").status_code == 405
