"""The end of a round: what is open, closing it with reasons, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient
from tests.unit.web.test_round_pages import STRANGER

from couchside.service import Desk, Received, close_round, list_closings, list_open_items
from couchside.service.faults import NewFault, NewFaultEntry, add_fault_entry, open_fault
from couchside.service.recorders import RecorderFacts, register_recorder

Bring = Callable[..., Received]


def test_everything_without_an_answer_is_listed(
    client: TestClient, desk: Desk, order_id: int, bring: Bring
) -> None:
    bring(patient=STRANGER)
    client.post("/upload", files={"files": ("letter.txt", b"dear colleague", "text/plain")})
    kinds = [str(each.kind) for each in list_open_items(desk, desk.today())]
    assert kinds == ["waiting", "under no order", "not readable"]
    page = client.get("/round/end").text
    assert f'href="/orders/{order_id}">Quill, Ada</a>' in page
    assert "letter.txt" in page
    assert page.count("Stays open because") == 3


def test_a_round_is_closed_with_a_reason_for_each(
    client: TestClient, desk: Desk, order_id: int
) -> None:
    day = desk.today()
    form = {"day": day.isoformat(), "keys": [f"waiting: {order_id}"], "reasons": ["ward is closed"]}
    answer = client.post("/round/end", data=form)
    assert answer.headers["location"] == f"/round/end?day={day}"
    (closing,) = list_closings(desk, day)
    assert (closing.who, dict(closing.stayed_open)) == (
        "Test Person",
        {"Quill, Ada · waiting": "ward is closed"},
    )
    client.get("/round/end")
    assert "Quill, Ada · waiting: ward is closed" in client.get("/round/end").text
    assert len(list_closings(desk, day)) == 1, "a look at the page closes nothing"


@pytest.mark.parametrize("reasons", [[], [" "]])
def test_nothing_stays_open_without_a_reason(
    client: TestClient, desk: Desk, order_id: int, reasons: list[str]
) -> None:
    form = {"day": "", "keys": [f"waiting: {order_id}"], "reasons": reasons}
    answer = client.post("/round/end", data=form)
    assert answer.status_code == 422
    assert "Quill, Ada: waiting; answer it, or write why it stays open" in answer.text
    assert list_closings(desk, desk.today()) == ()


def test_a_round_with_an_answer_for_everything_is_closed_at_once(
    client: TestClient, desk: Desk
) -> None:
    assert "Everything has an answer." in client.get("/round/end").text
    assert client.post("/round/end", data={"day": ""}).status_code == 303
    assert len(list_closings(desk, desk.today())) == 1


def test_a_fault_of_today_is_mended_or_stays_open_for_a_reason(
    client: TestClient, desk: Desk
) -> None:
    cart = register_recorder(desk, RecorderFacts(name="Cart 1", place="Ward 3"))
    yesterday = replace(desk, clock=lambda: desk.now() - timedelta(days=1))
    open_fault(yesterday, cart.id, NewFault(words="the trolley squeaks"))
    fault = open_fault(desk, cart.id, NewFault(words="the clip of V3 is cracked"))
    (item,) = list_open_items(desk, desk.today())
    assert (item.key, item.name) == (f"fault open: {fault.id}", "Cart 1")
    page = client.get("/round/end").text
    assert f'href="/recorders/{cart.id}#faults">Cart 1</a>' in page
    assert "the clip of V3 is cracked" in page
    assert "squeaks" not in page
    closing = close_round(desk, desk.today(), {item.key: "a new clip comes tomorrow"})
    assert dict(closing.stayed_open) == {
        "Cart 1 · the clip of V3 is cracked · fault open": "a new clip comes tomorrow"
    }
    mended = NewFaultEntry(words="another clip", is_out_of_use=False, closes=True, seen_number=0)
    add_fault_entry(desk, fault.id, mended)
    assert "Everything has an answer." in client.get("/round/end").text


def test_no_day_and_no_such_way_are_answered_kindly(client: TestClient) -> None:
    assert client.get("/round/end?day=tomorrow").status_code == 422
    assert client.request("DELETE", "/round/end").status_code == 405
