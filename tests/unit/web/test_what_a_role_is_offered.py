"""A page offers nobody a form or a way that their role may not use."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from tests.unit.web.conftest import PATIENT
from tests.unit.web.test_round_pages import STRANGER

from couchside.service import Desk, NewOrder, Received, add_order
from couchside.store.words import Role

OWN = {"/lock", "/locked", "/sign-out"}
"""What everybody may do with their own sign-in."""


@pytest.fixture
def paths(desk: Desk, order_id: int, bring: Callable[..., Received]) -> tuple[str, ...]:
    """Every page that shows something to be acted upon."""
    filed, stray = bring("mains-on-v3").recording, bring(patient=STRANGER, name="s.csv").recording
    assert filed is not None
    assert stray is not None
    waiting = add_order(desk, NewOrder(patient=PATIENT)).id
    return (
        "/round",
        "/round/end",
        "/print",
        f"/recordings/{filed.id}",
        f"/recordings/{stray.id}",
        f"/recordings/{filed.id}/strip",
        f"/recordings/{filed.id}/calibration",
        f"/orders/{waiting}",
        "/orders/new",
        "/patients?number=T-1",
        "/tell-now",
        "/readiness",
        "/upload",
        "/settings",
        "/help",
    )


def list_offers(text: str) -> set[str]:
    forms = re.findall(r"<form\b[^>]*>", text)
    posting = [each for each in forms if 'method="post"' in each]
    return {address for each in posting for address in re.findall(r'action="([^"]*)"', each)} - OWN


def test_a_reader_is_offered_nothing_to_change(
    client: TestClient, come_as: Callable[[Role | None], TestClient], paths: tuple[str, ...]
) -> None:
    client.post("/upload", files={"files": ("letter.txt", b"dear colleague", "text/plain")})
    reader, recorder = come_as(Role.READER), come_as(Role.RECORDER)
    offered: set[str] = set()
    for path in paths:
        page = reader.get(path)
        assert page.status_code == 200, path
        assert list_offers(page.text) == set(), path
        if path not in {"/upload", "/orders/new"}:
            assert 'href="/upload"' not in page.text, path
            assert 'href="/orders/new"' not in page.text, path
        offered |= list_offers(recorder.get(path).text)
    assert len(offered) > 8, "the same pages offer a recorder what there is to do"


def test_only_who_may_choose_is_offered_the_settings(
    come_as: Callable[[Role | None], TestClient],
) -> None:
    for role in Role:
        page = come_as(role).get("/settings").text
        may = role in {Role.LEAD, Role.ADMINISTRATOR}
        assert ("/settings/pages" in list_offers(page)) is may, role
        assert ("A lead or an administrator changes them." in page) is not may, role
